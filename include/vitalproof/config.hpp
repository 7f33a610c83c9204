// What every header agrees on: the namespace, the kernel's number type and one build rule.
// Used by every other header; a user never needs to include it by name.
// Promises that a program may link code built header-only and code built against the compiled
// library: each lives in an inline namespace of its own, so neither can stand in for the other.
#pragma once

#include <cstdint>

#if defined(__FAST_MATH__)
#error "vitalproof reads NaN as a missing value: build it without -ffast-math"
#endif

#if defined(VITALPROOF_COMPILED)
#define VITALPROOF_ABI compiled_v0
#else
#define VITALPROOF_ABI header_only_v0
#endif

namespace vitalproof::inline VITALPROOF_ABI {

inline constexpr const char* version = "0.1.0";

/// The number type inside a predicate. Values are held as double at every boundary; a predicate
/// sees them as float, which carries every charted value exactly enough (24 bits: 7 digits) and
/// puts twice as many rows in a vector register. Record and columns convert by the same function,
/// so they cannot disagree about a value on a limit.
using real = float;

/// An integer as wide as `real`: loops that mix widths do not vectorise.
using lane_int = std::int32_t;

}  // namespace vitalproof::inline VITALPROOF_ABI
