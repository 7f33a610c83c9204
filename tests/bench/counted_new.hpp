// An operator new that counts, in the place of the standard one. Link it into a program with one
// thread to learn what allocates.
#pragma once

#include <cstdint>

namespace bench {

/// How many times memory was allocated since the program began.
std::uint64_t allocations();

}  // namespace bench
