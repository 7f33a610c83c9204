#include "read/peeking_source.hpp"

#include <algorithm>
#include <cstring>

namespace vitalproof::read {

std::string_view peeking_source::peek(std::size_t most) {
    first_.resize(most);
    std::size_t filled = 0;
    while (filled < most && !ended_) {
        const std::ptrdiff_t got = from_.read(first_.data() + filled, most - filled);
        ended_ = got <= 0;
        last_ = got;
        filled += static_cast<std::size_t>(std::max<std::ptrdiff_t>(got, 0));
    }
    first_.resize(filled);
    return first_;
}

std::ptrdiff_t peeking_source::read(char* into, std::size_t size) {
    if (given_ < first_.size()) {
        const std::size_t given = std::min(size, first_.size() - given_);
        std::memcpy(into, first_.data() + given_, given);
        given_ += given;
        return static_cast<std::ptrdiff_t>(given);
    }
    return ended_ ? last_ : from_.read(into, size);
}

}  // namespace vitalproof::read
