// A finding's fingerprint: what stays the same when the same chart is audited again.
// Used to carry a decision over from the last audit. Promises to depend on the check, the report,
// the set's time (its place where it has none), the sign and the readings, and on nothing else: not
// on limits, wording, file, row, nor on the unit or text in which a value was charted.
#pragma once

#include <vitalproof/batch_finding.hpp>
#include <vitalproof/detail/append.hpp>
#include <vitalproof/finding.hpp>

#define XXH_INLINE_ALL
#include <xxhash.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {

namespace detail {

/// A reading in canonical form: two decimals of the held unit, so that 98.6 °F and 37 °C agree.
inline void append_canonical(std::string& text, const evidence_reading& r) {
    text.append(r.where == evidence_place::before  ? "before "
                : r.where == evidence_place::after ? "after "
                                                   : "");
    text.append(describe(r.sign).name).push_back('=');
    switch (r.state) {
        case reading_state::number: {
            // Whole hundredths; past the range of a float a value is one of no measurement anyway.
            constexpr double most = 1e15;
            const double hundredths = std::round(std::clamp(r.value * 100, -most, most));
            append_integer(text, static_cast<long long>(hundredths));
            break;
        }
        case reading_state::above:
            text.append("above");
            break;
        case reading_state::below:
            text.append("below");
            break;
        case reading_state::absent:
            text.append("absent");
            break;
        case reading_state::unreadable:
            text.append("unreadable");
            break;
    }
    text.push_back('\n');
}

/// The set's instant or, where it has none, its place.
inline void append_canonical_time(std::string& text, const finding& f) {
    if (f.taken_at) {
        append_integer(text.append("at "), seconds_of(*f.taken_at));
    } else {
        append_integer(text.append("set "), f.set);
    }
    text.push_back('\n');
}

}  // namespace detail

/// Fingerprints one finding after another, in a buffer used again. Not for use by two threads at
/// once.
class fingerprinter {
public:
    /// 80 bits of XXH3-128 (libxxhash) as 20 hexadecimal digits, good until the next call.
    std::string_view print(const finding& f) {
        text_.assign(f.info().code).push_back('\n');
        text_.append(f.report).push_back('\n');
        detail::append_canonical_time(text_, f);
        text_.append(subject_of(f.info())).push_back('\n');
        for (const auto& r : f.evidence.readings()) {
            detail::append_canonical(text_, r);
        }
        for (const auto& moment : f.evidence.times()) {
            text_.append(moment.name).push_back('=');
            detail::append_integer(text_, seconds_of(moment.at));
            text_.push_back('\n');
        }
        return digits();
    }

    /// Of the column and its units, the device and its shift or the two reports, not of how much
    /// was looked at: next week's file with the same mistake has the same.
    std::string_view print(const batch_finding& f) {
        text_.assign(f.info().code).push_back('\n');
        if (f.check == batch_check::clock_device) {
            detail::append_integer(text_.append(f.device).append("\n"), f.shift);
            return digits();
        }
        if (f.check == batch_check::repeated_report) {
            text_.append(f.report).append("\n").append(f.other_report);
            return digits();
        }
        text_.append(f.column).push_back('\n');
        text_.append(describe(f.sign).name).push_back('\n');
        text_.append(f.stated).push_back('\n');
        text_.append(f.fits);
        return digits();
    }

private:
    std::string_view digits() {
        const XXH128_hash_t hash = XXH3_128bits(text_.data(), text_.size());
        put_hex<0, 16>(hash.high64);
        put_hex<16, 4>(hash.low64 >> 48U);
        return {digits_.data(), digits_.size()};
    }

    /// The lowest digits of `value`, leading zeros included.
    template <std::size_t At, std::size_t Count>
    void put_hex(std::uint64_t value) {
        for (std::size_t i = Count; i-- > 0; value >>= 4U) {
            digits_[At + i] = "0123456789abcdef"[value & 0xFU];
        }
    }

    std::string text_;
    std::array<char, 20> digits_{};
};

inline std::string fingerprint(const finding& f) { return std::string(fingerprinter{}.print(f)); }
inline std::string fingerprint(const batch_finding& f) {
    return std::string(fingerprinter{}.print(f));
}

}  // namespace vitalproof::inline VITALPROOF_ABI
