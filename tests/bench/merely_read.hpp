// What any way through memory costs at least: every word of it loaded once, and something done with
// it that the compiler cannot leave out.
#pragma once

#include <cstddef>
#include <cstdint>

namespace bench {

std::uint64_t merely_read(const std::uint64_t* words, std::size_t count);

}  // namespace bench
