#include "read/written_time.hpp"

#include "read/text.hpp"
#include "read/time_scanner.hpp"

#include <date/date.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace vitalproof::read {

namespace {

using detail::time_scanner;

constexpr int noon = 12;
constexpr std::size_t longest_number = 18;

std::optional<std::chrono::local_days> calendar_day(int year, unsigned month, unsigned day) {
    const date::year_month_day ymd{date::year(year), date::month(month), date::day(day)};
    if (!ymd.ok()) {
        return std::nullopt;
    }
    return std::chrono::local_days(date::sys_days(ymd).time_since_epoch());
}

// Blanks, also those that do not break a line, which programs put before AM and PM (U+00A0,
// U+202F).
bool skip_blanks(time_scanner& text) {
    const std::string_view from = text.rest();
    std::string_view rest = from;
    for (;;) {
        const std::size_t bytes = !rest.empty() && is_blank(rest.front()) ? 1
                                  : rest.starts_with("\xC2\xA0")          ? 2
                                  : rest.starts_with("\xE2\x80\xAF")      ? 3
                                                                          : 0;
        if (bytes == 0) {
            break;
        }
        rest.remove_prefix(bytes);
    }
    text.skip_to(rest);
    return rest.size() != from.size();
}

// The letters that stand next.
std::string_view take_word(time_scanner& text) {
    const std::string_view rest = text.rest();
    std::size_t size = 0;
    while (size < rest.size() && vitalproof::detail::is_letter(rest[size])) {
        ++size;
    }
    text.skip_to(rest.substr(size));
    return rest.substr(0, size);
}

// The digits that stand next.
std::string_view take_digits(time_scanner& text) {
    const std::string_view rest = text.rest();
    text.skip_digits();
    return rest.substr(0, rest.size() - text.rest().size());
}

unsigned number_of(std::string_view digits) {
    unsigned value = 0;
    for (const char c : digits) {
        value = value * 10 + static_cast<unsigned>(c - '0');
    }
    return value;
}

// January, Jan, Sept, in any case; 0 for anything else.
unsigned month_named(std::string_view word) {
    constexpr std::array<std::string_view, 12> months{
        "january", "february", "march",     "april",   "may",      "june",
        "july",    "august",   "september", "october", "november", "december"};
    for (unsigned i = 0; i < months.size(); ++i) {
        const bool shortened = word.size() == 3 || (word.size() == 4 && i == 8);
        if (same_word(word, shortened ? months[i].substr(0, word.size()) : months[i])) {
            return i + 1;
        }
    }
    return 0;
}

// Four digits, or two of this century.
bool take_year(std::string_view digits, written_time& into) {
    into.short_year = digits.size() == 2;
    into.year = static_cast<int>(number_of(digits)) + (into.short_year ? 2000 : 0);
    return digits.size() == 2 || digits.size() == 4;
}

// AM and PM as `AM`, `pm`, `a.m.`, `P`; without one the hours are of 24.
bool scan_half_of_day(time_scanner& text, int& hours) {
    const bool after_noon = text.skip('P') || text.skip('p');
    if (!after_noon && !text.skip('A') && !text.skip('a')) {
        return hours <= 23;
    }
    text.skip('.');
    if (text.skip('M') || text.skip('m')) {
        text.skip('.');
    }
    const bool sound = hours >= 1 && hours <= noon;
    hours = hours % noon + (after_noon ? noon : 0);
    return sound;
}

// HHMM or HHMMSS. HMM has lost its first zero; five digits could be a serial date.
bool split_military(std::string_view digits, int& hours, int& minutes, int& seconds) {
    if (digits.size() != 3 && digits.size() != 4 && digits.size() != 6) {
        return false;
    }
    int number = static_cast<int>(number_of(digits));
    seconds = digits.size() == 6 ? number % 100 : 0;
    number /= digits.size() == 6 ? 100 : 1;
    minutes = number % 100;
    hours = number / 100;
    return true;
}

// A time of day to the end of the text.
bool scan_clock(time_scanner& text, written_time& into) {
    int hours = 0;
    int minutes = 0;
    int seconds = 0;
    const std::string_view digits = take_digits(text);
    const bool colon = text.skip(':');
    if (colon) {
        hours = static_cast<int>(number_of(digits.substr(0, 3)));
        if (digits.empty() || digits.size() > 2 || !text.two_digits(minutes) ||
            !scan_seconds(text, seconds)) {
            return false;
        }
    } else if (!split_military(digits, hours, minutes, seconds)) {
        return false;
    }
    skip_blanks(text);
    if (!scan_half_of_day(text, hours)) {
        return false;
    }
    skip_blanks(text);
    if (hours > 23 || minutes > 59 || seconds > 59) {
        return false;
    }
    // Not behind digits that stand alone: 2026-03 is a month.
    if ((colon || into.form != date_form::none) && !scan_offset(text, into.offset)) {
        return false;
    }
    into.clock = std::chrono::seconds(hours * 3600 + minutes * 60 + seconds);
    return text.done();
}

// What stands between a date and its time of day.
bool skip_to_clock(time_scanner& text) {
    const bool comma = text.skip(',');
    return skip_blanks(text) || comma || text.skip('T') || text.skip('t') || text.skip(':');
}

// 03/25/2026 and the like from their second part on, one mark throughout.
bool scan_parts(time_scanner& text, std::string_view first, char mark, written_time& into) {
    const std::string_view second = take_digits(text);
    if (second.empty() || second.size() > 2 || !text.skip(mark)) {
        return false;
    }
    const std::string_view third = take_digits(text);
    if (first.size() == 4) {
        into.form = date_form::year_first;
        if (third.size() > 2) {
            return false;
        }
        into.day =
            calendar_day(static_cast<int>(number_of(first)), number_of(second), number_of(third));
        return into.day.has_value();
    }
    into.form = date_form::year_last;
    into.first = number_of(first);
    into.second = number_of(second);
    into.dotted = mark == '.';
    return first.size() <= 2 && take_year(third, into) &&
           (day_of(into, day_order::day_first) || day_of(into, day_order::month_first));
}

// The month and year behind a day: `-Mar-2026`, ` March 2026`, `MAR2026`.
bool scan_named_behind(time_scanner& text, std::string_view day, written_time& into) {
    skip_blanks(text);
    const unsigned month = month_named(take_word(text));
    const bool mark = text.skip('-') || text.skip('/') || text.skip('.') || text.skip(',');
    const bool parted = skip_blanks(text) || mark || text.next_is_digit();
    if (month == 0 || !parted || !take_year(take_digits(text), into)) {
        return false;
    }
    into.form = date_form::month_named;
    into.day = calendar_day(into.year, month, number_of(day.substr(0, 3)));
    return day.size() <= 2 && into.day;
}

// `Mar 25, 2026`.
bool scan_named_first(time_scanner& text, written_time& into) {
    const unsigned month = month_named(take_word(text));
    skip_blanks(text);
    const std::string_view day = take_digits(text);
    const bool comma = text.skip(',');
    if (month == 0 || day.empty() || day.size() > 2 || !(skip_blanks(text) || comma) ||
        !take_year(take_digits(text), into) || into.short_year) {
        return false;
    }
    into.form = date_form::month_named;
    into.day = calendar_day(into.year, month, number_of(day));
    return into.day.has_value();
}

// YYYYMMDD, with HHMM or HHMMSS behind it at once or after a T.
bool scan_compact(time_scanner& text, std::string_view digits, written_time& into) {
    into.form = date_form::year_first;
    into.day = calendar_day(static_cast<int>(number_of(digits.substr(0, 4))),
                            number_of(digits.substr(4, 2)), number_of(digits.substr(6, 2)));
    if (!into.day || (digits.size() != 8 && digits.size() != 12 && digits.size() != 14)) {
        return false;
    }
    text.skip_to({digits.data() + 8, text.rest().data() + text.rest().size()});
    into.date = digits.substr(0, 8);
    return text.done() || ((text.next_is_digit() || skip_to_clock(text)) && scan_clock(text, into));
}

// A spreadsheet's day number from 1990 to 2099, or the fraction of a day alone, under 1.
bool take_serial(std::string_view text, std::string_view whole, written_time& into) {
    constexpr unsigned first_serial = 32874;        // 1990-01-01
    constexpr unsigned behind_last = 73051;         // 2100-01-01
    constexpr unsigned unix_epoch = 25569;          // 1970-01-01, with 1900 taken for a leap year
    constexpr std::size_t decimals_of_seconds = 5;  // 0.00001 of a day is under a second
    if (text.size() > longest_number || whole.empty() || whole.size() > 5) {
        return false;
    }
    const std::string_view decimals = text.substr(std::min(text.size(), whole.size() + 1));
    const unsigned days = number_of(whole);
    double fraction = 0;
    for (auto digit = decimals.rbegin(); digit != decimals.rend(); ++digit) {
        fraction = (fraction + (*digit - '0')) / 10;
    }
    const std::int64_t step = decimals.size() < decimals_of_seconds ? 60 : 1;
    const auto seconds = std::llround(fraction * 86400 / static_cast<double>(step)) * step;
    const bool has_date = days >= first_serial && days < behind_last;
    if (!has_date && (days != 0 || decimals.empty() || seconds >= 86400)) {
        return false;
    }
    into.serial = true;
    if (has_date) {
        into.form = date_form::serial;
        into.day = std::chrono::local_days(std::chrono::days(days - unix_epoch + seconds / 86400));
        into.date = text;
    }
    if (!decimals.empty()) {
        into.clock = std::chrono::seconds(seconds % 86400);
    }
    return true;
}

// The date at the front, where the text has one; false where it cannot be one.
bool scan_date(time_scanner& text, std::string_view digits, written_time& into) {
    for (const char mark : {'/', '-', '.'}) {
        if (text.skip(mark)) {
            return text.next_is_digit() ? scan_parts(text, digits, mark, into)
                                        : scan_named_behind(text, digits, into);
        }
    }
    skip_blanks(text);
    return scan_named_behind(text, digits, into);
}

// A spreadsheet's time of day may carry its day zero along.
bool is_day_zero(std::string_view text) {
    constexpr std::array<std::string_view, 4> zeros{"1900-01-00", "1/0/1900", "12/30/1899",
                                                    "12/31/1899"};
    return std::ranges::any_of(zeros, [&](auto zero) { return text.starts_with(zero); });
}

bool all_digits(std::string_view text) {
    return std::ranges::all_of(text, [](char c) { return is_digit(c); });
}

}  // namespace

std::optional<std::chrono::local_days> day_of(const written_time& written, day_order order) {
    if (written.form != date_form::year_last) {
        return written.day;
    }
    switch (order) {
        case day_order::day_first:
            return calendar_day(written.year, written.second, written.first);
        case day_order::month_first:
            return calendar_day(written.year, written.first, written.second);
        case day_order::undecided:
            break;
    }
    return std::nullopt;
}

std::optional<written_time> read_written_time(std::string_view text) {
    text = trimmed(text);
    written_time written;
    time_scanner scan(text);
    const auto if_sound = [&written](bool sound) {
        return sound ? std::optional(written) : std::nullopt;
    };
    if (is_day_zero(text)) {
        scan.skip_to(text.substr(std::min(text.find_first_of(" T"), text.size())));
        return if_sound(skip_to_clock(scan) && scan_clock(scan, written));
    }
    const std::string_view digits = take_digits(scan);
    if (digits.size() >= 8) {
        return if_sound(scan_compact(scan, digits, written));
    }
    const std::string_view rest = scan.rest();
    const bool number = rest.empty() || (rest.front() == '.' && all_digits(rest.substr(1)));
    if (number && take_serial(text, digits, written)) {
        return written;
    }
    if (time_scanner clock(text); scan_clock(clock, written)) {
        return written;
    }
    written = {};
    if (!(digits.empty() ? scan_named_first(scan, written) : scan_date(scan, digits, written))) {
        return std::nullopt;
    }
    written.date = text.substr(0, text.size() - scan.rest().size());
    return if_sound(scan.done() || (skip_to_clock(scan) && scan_clock(scan, written)));
}

}  // namespace vitalproof::read
