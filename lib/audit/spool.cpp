#include "audit/spool.hpp"

#include <algorithm>

namespace vitalproof::audit {

void spool::put_aside(block& filled) {
    const scratch_file::place at = file_.add({reinterpret_cast<const char*>(&filled), block_size});
    filled.before = static_cast<std::uint32_t>(at.offset / block_size);
    filled.used = 0;
}

std::vector<std::uint32_t> spool::blocks_of(std::size_t part) {
    std::vector<std::uint32_t> numbers;
    block head = parts_[part];
    while (head.before != no_block) {
        numbers.push_back(head.before);
        if (!read_aside(head.before, sizeof(block_head), head)) {
            return {};
        }
    }
    std::ranges::reverse(numbers);
    return numbers;
}

bool spool::read_aside(std::uint32_t number, std::size_t size, block& into) {
    std::string text;
    file_.append_to(text, {std::uint64_t{number} * block_size, size});
    if (text.size() != size) {
        return false;
    }
    std::memcpy(static_cast<void*>(&into), text.data(), size);
    return true;
}

}  // namespace vitalproof::audit
