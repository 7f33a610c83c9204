#include "merely_read.hpp"

namespace bench {

std::uint64_t merely_read(const std::uint64_t* words, std::size_t count) {
    std::uint64_t sum = 0;
    for (std::size_t i = 0; i < count; ++i) {
        sum += words[i];
    }
    return sum;
}

}  // namespace bench
