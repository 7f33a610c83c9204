#include "read/timestamp.hpp"

#include "read/text.hpp"

#include <date/date.h>

#include <bit>
#include <cstring>

namespace vitalproof::read {

namespace {

// Walks a text; every step says whether it fitted.
class scanner {
public:
    explicit scanner(std::string_view text) : at_(text.data()), end_(at_ + text.size()) {}

    bool done() const { return at_ == end_; }
    bool next_is(char c) const { return at_ != end_ && *at_ == c; }

    bool skip(char c) {
        const bool there = next_is(c);
        at_ += there ? 1 : 0;
        return there;
    }

    bool two_digits(int& value) {
        if (end_ - at_ < 2 || !is_digit(at_[0]) || !is_digit(at_[1])) {
            return false;
        }
        value = (at_[0] - '0') * 10 + (at_[1] - '0');
        at_ += 2;
        return true;
    }

    // One to `most` digits.
    bool digits(int most, int& value) {
        value = 0;
        int count = 0;
        for (; at_ != end_ && is_digit(*at_) && count < most; ++at_, ++count) {
            value = value * 10 + (*at_ - '0');
        }
        return count > 0;
    }

    bool skip_digits() {
        const char* const from = at_;
        while (at_ != end_ && is_digit(*at_)) {
            ++at_;
        }
        return at_ != from;
    }

private:
    const char* at_;
    const char* end_;
};

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

// Eight characters read as one word. pair(i) is the number of the two digits from place i.
class eight_characters {
public:
    eight_characters(const char* text, const layout& form) {
        static_assert(std::endian::native == std::endian::little,
                      "characters are read as one little-endian word");
        constexpr std::uint64_t tops = 0x8080808080808080U;
        std::memcpy(&word_, text, sizeof word_);
        word_ = (word_ & form.judged) - form.expected;
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

std::optional<date::sys_days> date_at(const char* text) {
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
    return date::sys_days(day);
}

// `:SS[.fff]`, or nothing.
inline bool scan_seconds(scanner& text, int& seconds) {
    seconds = 0;
    if (!text.skip(':')) {
        return true;
    }
    if (!text.two_digits(seconds) || seconds > 59) {
        return false;
    }
    return !(text.skip('.') || text.skip(',')) || text.skip_digits();
}

bool scan_offset(scanner& text, std::optional<std::chrono::minutes>& offset) {
    if (text.skip('Z') || text.skip('z')) {
        offset = std::chrono::minutes(0);
        return true;
    }
    const bool west = text.next_is('-');
    if (!text.skip('-') && !text.skip('+')) {
        return true;
    }
    int hours = 0;
    int minutes = 0;
    if (!text.two_digits(hours)) {
        return false;
    }
    text.skip(':');
    if (!text.two_digits(minutes) || minutes > 59) {
        return false;
    }
    const int total = hours * 60 + minutes;
    offset = std::chrono::minutes(west ? -total : total);
    return total <= (west ? 12 : 14) * 60;
}

timestamp scan_clock(std::string_view text) {
    timestamp result{.kind = time_kind::unreadable};
    const std::optional<date::sys_days> day = date_at(text.data());
    if (!day) {
        return result;
    }
    if (text.size() == date_size) {
        result.kind = time_kind::date_only;
        return result;
    }
    if (text.size() < minute_size) {
        return result;
    }
    const char separator = text[date_size];
    const eight_characters clock(text.data() + 8, day_and_clock_layout);
    const unsigned hours = clock.pair(3);
    const unsigned minutes = clock.pair(6);
    scanner rest(text.substr(minute_size));
    int seconds = 0;
    if (!clock.fits() || (separator != 'T' && separator != ' ' && separator != 't') || hours > 23 ||
        minutes > 59 || !scan_seconds(rest, seconds) ||
        !scan_offset(rest, result.time.utc_offset) || !rest.done()) {
        return result;
    }
    result.kind = time_kind::clock;
    result.time.local = std::chrono::local_seconds(
        day->time_since_epoch() + std::chrono::seconds(hours * 3600 + minutes * 60) +
        std::chrono::seconds(seconds));
    return result;
}

timestamp scan_elapsed(scanner text) {
    timestamp result{.kind = time_kind::unreadable};
    int hours = 0;
    int minutes = 0;
    int seconds = 0;
    if (!text.digits(3, hours) || !text.skip(':') || !text.two_digits(minutes) || minutes > 59 ||
        !scan_seconds(text, seconds) || !text.done()) {
        return result;
    }
    result.kind = time_kind::elapsed;
    result.time.elapsed = true;
    result.time.local = std::chrono::local_seconds(
        std::chrono::hours(hours) + std::chrono::minutes(minutes) + std::chrono::seconds(seconds));
    return result;
}

}  // namespace

timestamp read_timestamp(std::string_view text) {
    text = trimmed(text);
    if (text.empty()) {
        return {};
    }
    const bool has_date = text.size() >= date_size && text[4] == '-';
    return has_date ? scan_clock(text) : scan_elapsed(scanner(text));
}

}  // namespace vitalproof::read
