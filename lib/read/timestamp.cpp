#include "read/timestamp.hpp"

#include "read/absence_words.hpp"
#include "read/number.hpp"
#include "read/text.hpp"
#include "read/time_scanner.hpp"

#include <date/date.h>

#include <bit>
#include <cstring>

namespace vitalproof::read {

namespace {

using detail::load;
using detail::time_scanner;

constexpr std::size_t date_size = 10;    // YYYY-MM-DD
constexpr std::size_t minute_size = 16;  // YYYY-MM-DDTHH:MM

// What eight characters must look like: '0' stands for a digit, '?' for any character, others for
// themselves.
struct layout {
    constexpr explicit layout(std::string_view text) {
        for (unsigned i = 0; i < 8; ++i) {
            const auto c = static_cast<unsigned char>(text[i]);
            expected |= std::uint64_t{c == '?' ? 0U : c} << (8 * i);
            most |= std::uint64_t{c == '0' ? 0x76U : 0x7FU} << (8 * i);
            judged |= std::uint64_t{c == '?' ? 0U : 0xFFU} << (8 * i);
        }
    }

    std::uint64_t expected = 0;
    std::uint64_t most = 0;  // what carries a byte over 127 when it is more than it may be
    std::uint64_t judged = 0;
};

constexpr layout year_and_month_layout("0000-00-");
constexpr layout day_and_clock_layout("00?00:00");
constexpr layout clock_layout("00:00:00");

// Eight characters read as one word. pair(i) is the number of the two digits from place i.
class eight_characters {
public:
    eight_characters(const char* text, const layout& form) {
        static_assert(std::endian::native == std::endian::little,
                      "characters are read as one little-endian word");
        constexpr std::uint64_t tops = 0x8080808080808080U;
        word_ = (load<std::uint64_t>(text) & form.judged) - form.expected;
        fits_ = (((word_ + form.most) | word_) & tops) == 0;
        word_ = word_ * 10 + (word_ >> 8);
    }

    bool fits() const { return fits_; }
    unsigned pair(unsigned place) const {
        return static_cast<unsigned>(word_ >> (8 * place)) & 0xFFU;
    }

private:
    std::uint64_t word_;
    bool fits_;
};

std::optional<std::chrono::local_days> date_at(const char* text) {
    const eight_characters year_and_month(text, year_and_month_layout);
    const unsigned tens = static_cast<unsigned char>(text[8]) - unsigned{'0'};
    const unsigned ones = static_cast<unsigned char>(text[9]) - unsigned{'0'};
    const unsigned year = year_and_month.pair(0) * 100 + year_and_month.pair(2);
    const date::year_month_day day{date::year(static_cast<int>(year)),
                                   date::month(year_and_month.pair(5)),
                                   date::day(tens * 10 + ones)};
    if (!year_and_month.fits() || tens > 9 || ones > 9 || !day.ok()) {
        return std::nullopt;
    }
    return std::chrono::local_days(date::sys_days(day).time_since_epoch());
}

// Of ten characters the first and the last eight, which is no call.
bool is_day(const char* text, const remembered_day& last) {
    const char* const written = last.written.data();
    return load<std::uint64_t>(text) == load<std::uint64_t>(written) &&
           load<std::uint64_t>(text + 2) == load<std::uint64_t>(written + 2);
}

// The same, kept for the next time where the day is one.
std::optional<std::chrono::local_days> date_at(const char* text, remembered_day& last) {
    if (is_day(text, last)) {
        return last.day;
    }
    const auto day = date_at(text);
    if (day) {
        std::memcpy(last.written.data(), text, date_size);
        last.day = *day;
    }
    return day;
}

// YYYY-MM-DDTHH:MM and on. False, and nothing of use, where the text is not written so.
inline bool scan_clock(std::string_view text, timestamp& result, remembered_day& last) {
    const auto day = date_at(text.data(), last);
    if (!day) {
        return false;
    }
    if (text.size() == date_size) {
        result.kind = time_kind::date_only;
        result.time.local = std::chrono::local_seconds(day->time_since_epoch());
        return true;
    }
    if (text.size() < minute_size) {
        return false;
    }
    const char separator = text[date_size];
    const eight_characters clock(text.data() + 8, day_and_clock_layout);
    const unsigned hours = clock.pair(3);
    const unsigned minutes = clock.pair(6);
    time_scanner rest(text.substr(minute_size));
    int seconds = 0;
    if (!clock.fits() || (separator != 'T' && separator != ' ' && separator != 't') || hours > 23 ||
        minutes > 59 || !detail::scan_seconds(rest, seconds) ||
        (!rest.done() && !(detail::scan_offset(rest, result.time.utc_offset) && rest.done()))) {
        return false;
    }
    result.kind = time_kind::clock;
    result.time.local = std::chrono::local_seconds(
        day->time_since_epoch() + std::chrono::seconds(hours * 3600 + minutes * 60) +
        std::chrono::seconds(seconds));
    return true;
}

timestamp scan_elapsed(time_scanner text) {
    timestamp result{.kind = time_kind::unreadable};
    int hours = 0;
    int minutes = 0;
    int seconds = 0;
    if (!text.digits(3, hours) || !text.skip(':') || !text.two_digits(minutes) || minutes > 59 ||
        !detail::scan_seconds(text, seconds) || !text.done()) {
        return result;
    }
    result.kind = time_kind::elapsed;
    result.time.elapsed = true;
    result.time.local = std::chrono::local_seconds(
        std::chrono::hours(hours) + std::chrono::minutes(minutes) + std::chrono::seconds(seconds));
    return result;
}

// Whether a time written so may be used, and whether it has a date and a time of day.
time_kind kind_of(const written_time& written, const time_rules& rules) {
    if ((written.serial && !rules.serials) || (written.short_year && !rules.short_years)) {
        return time_kind::unreadable;
    }
    if (written.form == date_form::year_last && rules.order == day_order::undecided) {
        return time_kind::undecided;
    }
    if (written.form == date_form::none) {
        return time_kind::clock_only;
    }
    return written.clock ? time_kind::clock : time_kind::date_only;
}

// Out of line: the usual time above needs nothing of it.
[[gnu::noinline]] timestamp read_otherwise(std::string_view text, const time_rules& rules) {
    if (const timestamp elapsed = scan_elapsed(time_scanner(text));
        elapsed.kind == time_kind::elapsed) {
        return elapsed;
    }
    const std::optional<written_time> written = read_written_time(text);
    if (!written) {
        return {.kind = says_nothing(text) ? time_kind::blank : time_kind::unreadable};
    }
    timestamp result{.kind = kind_of(*written, rules)};
    if (result.kind == time_kind::unreadable || result.kind == time_kind::undecided) {
        return result;
    }
    if (written->form != date_form::none) {
        const auto day = day_of(*written, rules.order);
        if (!day) {
            return {.kind = time_kind::unreadable};
        }
        result.time.local = *day;
    }
    result.time.local += written->clock.value_or(std::chrono::seconds(0));
    result.time.utc_offset = written->offset;
    return result;
}

// A spreadsheet's time of day that was exported with its day zero, 1899-12-30 or 31.
bool is_on_day_zero(const timestamp& t) {
    constexpr std::chrono::local_seconds year_1900{std::chrono::seconds(-2208988800)};
    return t.kind == time_kind::clock && t.time.local < year_1900 &&
           t.time.local >= year_1900 - std::chrono::days(2);
}

}  // namespace

timestamp read_timestamp(std::string_view text, const time_rules& rules) {
    remembered_day none;
    return read_timestamp(text, rules, none);
}

bool read_usual_time(std::string_view text, const remembered_day& last,
                     std::chrono::local_seconds& time) {
    constexpr std::size_t usual_size = 19;
    if (text.size() != usual_size || text[date_size] != 'T' || !is_day(text.data(), last)) {
        return false;
    }
    const eight_characters clock(text.data() + date_size + 1, clock_layout);
    const unsigned hours = clock.pair(0);
    const unsigned minutes = clock.pair(3);
    const unsigned seconds = clock.pair(6);
    if (!clock.fits() || hours > 23 || minutes > 59 || seconds > 59) {
        return false;
    }
    time = std::chrono::local_seconds(last.day.time_since_epoch()) +
           std::chrono::seconds(hours * 3600 + minutes * 60 + seconds);
    return true;
}

timestamp read_timestamp(std::string_view text, const time_rules& rules, remembered_day& last) {
    timestamp result;
    if (read_usual_time(text, last, result.time.local)) [[likely]] {
        result.kind = time_kind::clock;
        return result;
    }
    text = trimmed(text);
    if (text.empty()) {
        return result;
    }
    const bool usual = text.size() >= date_size && text[4] == '-' && scan_clock(text, result, last);
    if (!usual) [[unlikely]] {
        result = read_otherwise(text, rules);
    }
    return result;
}

bool has_own_date(const timestamp& time) {
    return time.kind == time_kind::clock && !is_on_day_zero(time);
}

timestamp joined(const timestamp& day, const timestamp& clock) {
    using std::chrono::floor;
    const auto date_of = [](const timestamp& t) { return floor<std::chrono::days>(t.time.local); };
    const bool has_clock = clock.kind == time_kind::elapsed ||
                           clock.kind == time_kind::clock_only || is_on_day_zero(clock);
    const bool has_day = day.kind == time_kind::date_only || day.kind == time_kind::clock;
    if (!has_clock || !has_day) {
        timestamp lacking{.kind = clock.kind};
        if (has_clock) {
            lacking.kind = day.kind == time_kind::blank ? time_kind::clock_only : day.kind;
        } else if (clock.kind == time_kind::blank && has_day) {
            lacking.kind = time_kind::date_only;
        }
        return lacking;
    }
    const auto time_of_day = is_on_day_zero(clock) ? clock.time.local - date_of(clock)
                                                   : clock.time.local.time_since_epoch();
    const auto own_time_of_day = day.time.local - date_of(day);
    const bool contradicts = own_time_of_day.count() != 0 && own_time_of_day != time_of_day;
    if (time_of_day >= std::chrono::days(1) || contradicts) {
        return {.kind = time_kind::unreadable};
    }
    return {.kind = time_kind::clock,
            .time = {.local = date_of(day) + time_of_day, .utc_offset = clock.time.utc_offset}};
}

}  // namespace vitalproof::read
