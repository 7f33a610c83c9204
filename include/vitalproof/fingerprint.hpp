// A finding's fingerprint: what stays the same when the same chart is audited again.
// Used to carry a decision over from the last audit. Promises to depend on the check, the report,
// the set's time (its place where it has none), the sign and the readings, and on nothing else: not
// on limits, wording, file, row, nor on the unit or text in which a value was charted.
#pragma once

#include <vitalproof/finding.hpp>

#define XXH_INLINE_ALL
#include <xxhash.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <string>

namespace vitalproof::inline VITALPROOF_ABI {

namespace detail {

/// A reading in canonical form: two decimals of the held unit, so that 98.6 °F and 37 °C agree.
inline void append_canonical(std::string& text, const evidence_reading& r) {
    text.append(describe(r.sign).name).append("=");
    switch (r.state) {
        case reading_state::number: {
            // Whole hundredths; past the range of a float a value is one of no measurement anyway.
            constexpr double most = 1e15;
            const double hundredths = std::round(std::clamp(r.value * 100, -most, most));
            text.append(std::to_string(static_cast<long long>(hundredths)));
            break;
        }
        case reading_state::above: text.append("above"); break;
        case reading_state::below: text.append("below"); break;
        case reading_state::absent: text.append("absent"); break;
        case reading_state::unreadable: text.append("unreadable"); break;
    }
    text.push_back('\n');
}

}  // namespace detail

/// 80 bits of XXH3-128 (libxxhash) as 20 hexadecimal digits.
inline std::string fingerprint(const finding& f) {
    std::string text;
    text.reserve(256);
    text.append(f.info().code).append("\n").append(f.report).append("\n");
    if (f.taken_at) {
        const auto utc = f.taken_at->local.time_since_epoch() -
                         f.taken_at->utc_offset.value_or(std::chrono::minutes{0});
        text.append("at ").append(std::to_string(utc.count()));
    } else {
        text.append("set ").append(std::to_string(f.set));
    }
    text.append("\n").append(describe(f.info().sign).name).append("\n");
    for (const auto& r : f.evidence.readings()) {
        detail::append_canonical(text, r);
    }
    const XXH128_hash_t hash = XXH3_128bits(text.data(), text.size());
    std::array<char, 32> hex{};
    std::snprintf(hex.data(), hex.size(), "%016llx%04llx",
                  static_cast<unsigned long long>(hash.high64),
                  static_cast<unsigned long long>(hash.low64 >> 48U));
    return std::string(hex.data(), 20);
}

}  // namespace vitalproof::inline VITALPROOF_ABI
