// Numbers, times and readings as people write them.
// Used by a finding's texts and by writers of files. Promises to append to a text the caller owns,
// so that a buffer used again costs no memory; the few asked for by themselves return their own.
#pragma once

#include <vitalproof/detail/append.hpp>
#include <vitalproof/finding.hpp>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

namespace vitalproof::inline VITALPROOF_ABI {

namespace message {

namespace detail {

using vitalproof::detail::append_integer;
using vitalproof::detail::put;
using vitalproof::detail::put_digits;
using vitalproof::detail::put_integer;

/// Characters that a number, or a time, may take.
inline constexpr std::size_t longest_number = 64;
inline constexpr std::size_t longest_time = 64;

inline void append_up_to(std::string& to, const char* begin, const char* end) {
    to.append(begin, static_cast<std::size_t>(end - begin));
}

/// A number given in hundredths, without trailing zeros.
inline char* put_hundredths(char* to, long long hundredths) {
    if (hundredths < 0) {
        *to++ = '-';
        hundredths = -hundredths;
    }
    to = put_integer(to, hundredths / 100);
    if (const long long part = hundredths % 100; part != 0) {
        *to++ = '.';
        *to++ = static_cast<char>('0' + part / 10);
        if (part % 10 != 0) {
            *to++ = static_cast<char>('0' + part % 10);
        }
    }
    return to;
}

/// Any number, rounded to two decimals; very large ones, infinities and NaN in short.
inline char* put_rounded(char* to, double value) {
    if (std::abs(value) >= 1e7) {
        return to + std::snprintf(to, longest_number, "%.3g", value);
    }
    char* end = std::to_chars(to, to + longest_number, value, std::chars_format::fixed, 2).ptr;
    while (end[-1] == '0') {
        --end;
    }
    if (end[-1] == '.') {
        --end;
    }
    return std::string_view(to, static_cast<std::size_t>(end - to)) == "-0" ? put(to, "0") : end;
}

/// A number as people write it.
inline char* put_number(char* to, double value) {
    // What was charted whole or to two decimals, nearly all of it, needs no rounding; finding its
    // digits the general way takes ten times as long.
    if (value >= 0 && value < 1e7) {
        const auto whole = static_cast<std::uint32_t>(value);
        if (static_cast<double>(whole) == value) {
            return put_digits(to, whole);
        }
    }
    const double hundredths = std::round(value * 100);
    return std::abs(value) < 1e7 && hundredths / 100 == value
               ? put_hundredths(to, static_cast<long long>(hundredths))
               : put_rounded(to, value);
}

/// `98 %` and `98%`.
inline bool same_but_for_blanks(std::string_view a, std::string_view b) {
    const auto next = [](std::string_view& text) {
        text.remove_prefix(std::min(text.find_first_not_of(' '), text.size()));
        const char first = text.empty() ? '\0' : text.front();
        text.remove_prefix(text.empty() ? 0 : 1);
        return first;
    };
    while (!a.empty() || !b.empty()) {
        if (next(a) != next(b)) {
            return false;
        }
    }
    return true;
}

/// Two digits; a number of more is written whole.
inline char* put_two(char* to, long long value) {
    if (value > 99) {
        return put_integer(to, value);
    }
    *to++ = static_cast<char>('0' + value / 10);
    *to++ = static_cast<char>('0' + value % 10);
    return to;
}

inline char* put_clock(char* to, long long first, char between, long long second) {
    to = put_two(to, first);
    *to++ = between;
    return put_two(to, second);
}

inline char* put_date(char* to, std::chrono::year_month_day date) {
    const int year = static_cast<int>(date.year());
    to = put_two(put_two(to, year / 100), year % 100);
    *to++ = '-';
    return put_clock(to, static_cast<unsigned>(date.month()), '-',
                     static_cast<unsigned>(date.day()));
}

inline char* put_offset(char* to, std::chrono::minutes from_utc) {
    const long long offset = from_utc.count();
    const long long size = offset < 0 ? -offset : offset;
    *to++ = offset < 0 ? '-' : '+';
    return put_clock(to, size / 60, ':', size % 60);
}

inline char* put_time(char* to, const set_time& at) {
    using namespace std::chrono;
    const auto day = floor<days>(at.local);
    const hh_mm_ss clock{at.local - day};
    if (at.elapsed) {
        return put_clock(to, floor<hours>(at.local.time_since_epoch()).count(), ':',
                         clock.minutes().count());
    }
    to = put_date(to, year_month_day{day});
    *to++ = 'T';
    to = put_clock(to, clock.hours().count(), ':', clock.minutes().count());
    *to++ = ':';
    to = put_two(to, clock.seconds().count());
    return at.utc_offset ? put_offset(to, *at.utc_offset) : to;
}

}  // namespace detail

/// A number as people write it: at most two decimals, no trailing zeros; very large ones in short.
inline void append_number(std::string& to, double value) {
    std::array<char, detail::longest_number> text;
    detail::append_up_to(to, text.data(), detail::put_number(text.data(), value));
}

inline std::string number(double value) {
    std::string text;
    append_number(text, value);
    return text;
}

/// A number with its unit: `120 mmHg`, `98 %`, `20/min`; a score is bare.
inline void append_with_unit(std::string& to, double value, std::string_view unit) {
    std::array<char, detail::longest_number + 1> text;
    char* end = detail::put_number(text.data(), value);
    if (unit == "points") {
        unit = {};  // a score is said as a number
    }
    if (!unit.empty() && unit.front() != '/') {
        *end++ = ' ';
    }
    detail::append_up_to(to, text.data(), end);
    to.append(unit);
}

inline std::string with_unit(double value, std::string_view unit) {
    std::string text;
    append_with_unit(text, value, unit);
    return text;
}

/// A worked-out number no finer than people chart it: whole, temperatures to a tenth.
inline void append_worked_out(std::string& to, const evidence_number& n) {
    const double steps = n.unit == "°C" ? 10 : 1;
    append_with_unit(to, std::round(n.value * steps) / steps, n.unit);
}

inline std::string_view name_of(absence why) {
    constexpr std::array<std::string_view, 7> names{
        "not carried by the source", "left blank", "not recorded", "not applicable", "refused",
        "unable to complete",        "not present"};
    return names[static_cast<std::size_t>(why)];
}

/// A set's time for a file: `2026-03-01T14:32:00`, with its offset where one was given; elapsed
/// times as `26:07`. Nothing where there is none. Years 0 to 9999.
inline void append_time(std::string& to, const std::optional<set_time>& at) {
    if (at) {
        std::array<char, detail::longest_time> text;
        detail::append_up_to(to, text.data(), detail::put_time(text.data(), *at));
    }
}

inline std::string time(const std::optional<set_time>& at) {
    std::string text;
    append_time(text, at);
    return text;
}

/// Which set, in a sentence: `Set 3, 14:32`; `Set 3` without a time. Takes the time as time()
/// writes it.
inline void append_set_name(std::string& to, std::size_t set, std::string_view time) {
    to.append("Set ");
    detail::append_integer(to, set);
    if (!time.empty()) {
        const std::size_t clock = time.find('T');
        to.append(", ").append(clock == std::string_view::npos ? time : time.substr(clock + 1, 5));
    }
}

/// What stands in the chart: the text as charted where the source had one, else the value.
inline void append_charted(std::string& to, const evidence_reading& r) {
    if (!r.charted.empty()) {
        to.append(r.charted.display());
        return;
    }
    switch (r.state) {
        case reading_state::above:
            to.append("HI");
            return;
        case reading_state::below:
            to.append("LO");
            return;
        case reading_state::absent:
            to.append(name_of(r.why_absent));
            return;
        case reading_state::unreadable:
            to.append("unreadable");
            return;
        case reading_state::number:
            break;
    }
    if (r.sign == sign_id::responsiveness && r.value >= 1 && r.value <= 4) {
        to.append(
            vitalproof::name_of(static_cast<responsiveness_level>(static_cast<int>(r.value))));
        return;
    }
    append_with_unit(to, r.value, describe(r.sign).unit);
}

inline std::string charted(const evidence_reading& r) {
    std::string text;
    append_charted(text, r);
    return text;
}

/// Whether the unit of one of a finding's readings is assumed, and in doubt. A charted text would
/// be that of a cell with a unit of its own.
inline bool lacks_unit(const finding& f, const evidence_reading& r) {
    return !f.unit_stated && r.state == reading_state::number && r.charted.empty() &&
           describe(r.sign).unit == describe(f.info().sign).unit;
}

/// A number whose unit the chart does not state: `98.4 (unit not stated)`.
inline void append_without_unit(std::string& to, const evidence_reading& r) {
    append_number(to, r.value);
    to.append(" (unit not stated)");
}

/// The same in a sentence: as it was charted and, where that was in other words than the unit it is
/// held in, what it comes to: `36.9 °F (2.72 °C)`. A reading that the source has no place for was,
/// as far as a crew can tell, not given.
inline void append_spoken(std::string& to, const evidence_reading& r) {
    if (r.state == reading_state::absent && r.why_absent == absence::not_carried) {
        to.append("not given");
        return;
    }
    if (r.state != reading_state::number || r.charted.empty()) {
        append_charted(to, r);
        return;
    }
    const std::string held = with_unit(r.value, describe(r.sign).unit);
    const std::string charted = r.charted.display();
    if (detail::same_but_for_blanks(held, charted)) {
        to.append(held);
    } else if (r.charted.text().empty()) {  // told by its length alone
        to.append(held).append(" (charted ").append(charted).append(")");
    } else {
        to.append(charted).append(" (").append(held).append(")");
    }
}

/// Every reading a finding rests on, each with its name: `systolic 120 mmHg, pulse refused`.
inline void append_readings(std::string& to, const finding& f) {
    std::string_view between;
    for (const auto& r : f.evidence.readings()) {
        to.append(std::exchange(between, ", ")).append(describe(r.sign).label).push_back(' ');
        append_spoken(to, r);
    }
}

/// The time of day of a moment: `16:11`, `16:11:05`.
inline void append_clock_of(std::string& to, const set_time& at) {
    std::string whole;
    append_time(whole, at);
    const std::size_t clock = whole.find('T');
    if (clock == std::string::npos) {
        to.append(whole);
        return;
    }
    to.append(whole, clock + 1, whole.compare(clock + 6, 3, ":00") == 0 ? 5 : 8);
}

}  // namespace message

}  // namespace vitalproof::inline VITALPROOF_ABI
