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

/// Room for the longest canonical form of a number, a state or a time, with its name.
inline constexpr std::size_t longest_canonical = 64;

/// A reading in canonical form: two decimals of the held unit, so that 98.6 °F and 37 °C agree.
inline char* put_canonical(char* to, const evidence_reading& r) {
    if (r.where != evidence_place::here) {
        to = put(to, r.where == evidence_place::before ? "before " : "after ");
    }
    to = put(to, describe(r.sign).name);
    *to++ = '=';
    switch (r.state) {
        case reading_state::number: {
            // Whole hundredths; past the range of a float a value is one of no measurement anyway.
            constexpr double most = 1e15;
            const double hundredths = std::clamp(r.value * 100, -most, most);
            const auto whole = static_cast<long long>(hundredths);
            to = put_integer(to, static_cast<double>(whole) == hundredths
                                     ? whole
                                     : static_cast<long long>(std::round(hundredths)));
            break;
        }
        case reading_state::above:
            to = put(to, "above");
            break;
        case reading_state::below:
            to = put(to, "below");
            break;
        case reading_state::absent:
            to = put(to, "absent");
            break;
        case reading_state::unreadable:
            to = put(to, "unreadable");
            break;
    }
    *to++ = '\n';
    return to;
}

/// The set's instant or, where it has none, its place.
inline char* put_canonical_time(char* to, const finding& f) {
    to = f.taken_at ? put_integer(put(to, "at "), seconds_of(*f.taken_at))
                    : put_integer(put(to, "set "), f.set);
    *to++ = '\n';
    return to;
}

inline char* put_line(char* to, std::string_view text) {
    to = put(to, text);
    *to++ = '\n';
    return to;
}

}  // namespace detail

/// Fingerprints one finding after another, in a buffer used again. Not for use by two threads at
/// once.
class fingerprinter {
public:
    /// 80 bits of XXH3-128 (libxxhash) as 20 hexadecimal digits, good until the next call.
    std::string_view print(const finding& f) {
        const check_info& info = f.info();
        const auto readings = f.evidence.readings();
        const auto moments = f.evidence.times();
        std::size_t names = info.code.size() + f.report.size() + subject_of(info).size();
        for (const auto& moment : moments) {
            names += moment.name.size();
        }
        char* const begin =
            room(names + detail::longest_canonical * (2 + readings.size() + moments.size()));
        char* to = detail::put_line(begin, info.code);
        to = detail::put_line(to, f.report);
        to = detail::put_canonical_time(to, f);
        to = detail::put_line(to, subject_of(info));
        for (const auto& r : readings) {
            to = detail::put_canonical(to, r);
        }
        for (const auto& moment : moments) {
            to = detail::put(to, moment.name);
            *to++ = '=';
            to = detail::put_integer(to, seconds_of(moment.at));
            *to++ = '\n';
        }
        return digits({begin, static_cast<std::size_t>(to - begin)});
    }

    /// Of the column and its units, the device and its shift or the two reports, not of how much
    /// was looked at: next week's file with the same mistake has the same.
    std::string_view print(const batch_finding& f) {
        text_.assign(f.info().code).push_back('\n');
        if (f.check == batch_check::clock_device) {
            detail::append_integer(text_.append(f.device).append("\n"), f.shift);
            return digits(text_);
        }
        if (f.check == batch_check::repeated_report) {
            text_.append(f.report).append("\n").append(f.other_report);
            return digits(text_);
        }
        text_.append(f.column).push_back('\n');
        text_.append(describe(f.sign).name).push_back('\n');
        text_.append(f.stated).push_back('\n');
        text_.append(f.fits);
        return digits(text_);
    }

private:
    char* room(std::size_t bytes) {
        if (text_.size() < bytes) {
            text_.resize(bytes);
        }
        return text_.data();
    }

    std::string_view digits(std::string_view text) {
        const XXH128_hash_t hash = XXH3_128bits(text.data(), text.size());
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
