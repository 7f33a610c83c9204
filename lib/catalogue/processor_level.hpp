// Which level of vector code may be used.
// Used where code is compiled for several and chosen at run time. Promises that tests can hold the
// levels against each other.
#pragma once

#include <cstdlib>
#include <string_view>

namespace vitalproof {

/// VITALPROOF_LEVEL names the highest level that is wanted, `baseline` or `avx2`; what a processor
/// lacks is never used.
inline bool is_level_wanted(std::string_view level) {
    const char* const named = std::getenv("VITALPROOF_LEVEL");
    const std::string_view highest = named == nullptr ? "" : named;
    return highest != "baseline" && (highest != "avx2" || level == "avx2");
}

}  // namespace vitalproof
