#include "both_ways_flags.hpp"

#if defined(VITALPROOF_COMPILED)
#error "this file is to be built header-only"
#endif

flags_one_way flags_header_only(std::uint64_t seed, std::size_t rows) {
    return vitalproof::testing::flags_of(seed, rows);
}
