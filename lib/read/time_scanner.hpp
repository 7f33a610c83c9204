// Steps through the text of a time, and the parts that every way of writing one shares.
// Used by read_timestamp and read_written_time. Promises never to look past the end, and that a
// step which does not fit says so.
#pragma once

#include "read/text.hpp"

#include <chrono>
#include <optional>
#include <string_view>

namespace vitalproof::read::detail {

class time_scanner {
public:
    explicit time_scanner(std::string_view text) : at_(text.data()), end_(at_ + text.size()) {}

    bool done() const { return at_ == end_; }
    bool next_is(char c) const { return at_ != end_ && *at_ == c; }
    bool next_is_digit() const { return at_ != end_ && is_digit(*at_); }
    std::string_view rest() const { return {at_, static_cast<std::size_t>(end_ - at_)}; }

    void skip_to(std::string_view rest) { at_ = end_ - rest.size(); }

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
        for (; next_is_digit() && count < most; ++at_, ++count) {
            value = value * 10 + (*at_ - '0');
        }
        return count > 0;
    }

    bool skip_digits() {
        const char* const from = at_;
        while (next_is_digit()) {
            ++at_;
        }
        return at_ != from;
    }

private:
    const char* at_;
    const char* end_;
};

/// `:SS[.fff]`, or nothing. A 60th second is none: clocks of monitors and people do not show one.
inline bool scan_seconds(time_scanner& text, int& seconds) {
    seconds = 0;
    if (!text.skip(':')) {
        return true;
    }
    if (!text.two_digits(seconds) || seconds > 59) {
        return false;
    }
    return !(text.skip('.') || text.skip(',')) || text.skip_digits();
}

/// `Z`, `+HH`, `+HHMM`, `+HH:MM`, or nothing.
inline bool scan_offset(time_scanner& text, std::optional<std::chrono::minutes>& offset) {
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
    const bool more = text.skip(':') || !text.done();
    if (more && (!text.two_digits(minutes) || minutes > 59)) {
        return false;
    }
    const int total = hours * 60 + minutes;
    offset = std::chrono::minutes(west ? -total : total);
    return total <= (west ? 12 : 14) * 60;
}

}  // namespace vitalproof::read::detail
