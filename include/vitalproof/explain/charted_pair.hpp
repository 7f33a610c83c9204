// What the text of a cell was meant to say where it is no number.
// Used to undo slips in a cell that could not be read. Promises an answer only where the whole text
// is accounted for.
#pragma once

#include <vitalproof/config.hpp>

#include <cstddef>
#include <optional>
#include <string_view>
#include <utility>

namespace vitalproof::inline VITALPROOF_ABI {

namespace detail {

/// The digits at the front of a text, at most three; takes them off.
constexpr std::optional<double> take_whole(std::string_view& text) {
    double number = 0;
    std::size_t digits = 0;
    while (!text.empty() && text.front() >= '0' && text.front() <= '9') {
        number = 10 * number + (text.front() - '0');
        text.remove_prefix(1);
        ++digits;
    }
    return digits == 0 || digits > 3 ? std::nullopt : std::optional(number);
}

constexpr void skip_blanks(std::string_view& text) {
    while (!text.empty() && text.front() == ' ') {
        text.remove_prefix(1);
    }
}

/// The digit that a letter was typed for; 0 to 9, or -1.
constexpr int digit_for(char c) {
    switch (c) {
        case 'O':
        case 'o':
            return 0;
        case 'l':
        case 'I':
        case 'i':
            return 1;
        default:
            return c >= '0' && c <= '9' ? c - '0' : -1;
    }
}

}  // namespace detail

/// Two numbers with something between, as `120/80`, `120-80`, `120 80`.
constexpr std::optional<std::pair<double, double>> pair_in(std::string_view text) {
    detail::skip_blanks(text);
    const auto first = detail::take_whole(text);
    const std::size_t before = text.size();
    detail::skip_blanks(text);
    if (!text.empty() && std::string_view("/-\\,;:|").find(text.front()) != text.npos) {
        text.remove_prefix(1);
        detail::skip_blanks(text);
    }
    if (!first || text.size() == before) {
        return std::nullopt;
    }
    const auto second = detail::take_whole(text);
    detail::skip_blanks(text);
    return second && text.empty() ? std::optional(std::pair(*first, *second)) : std::nullopt;
}

/// A number with letters for some of its digits, as `12O` or `l8`; `9l.2` too.
constexpr std::optional<double> number_behind_letters(std::string_view text) {
    double number = 0;
    double unit = 0;  // of the last digit, once past the point
    std::size_t digits = 0;
    for (const char c : text) {
        const int digit = detail::digit_for(c);
        if (digit >= 0) {
            number = 10 * number + digit;
            unit *= 10;
            ++digits;
        } else if (c == '.' && unit == 0) {
            unit = 1;
        } else if (c != ' ') {
            return std::nullopt;
        }
    }
    if (digits == 0 || digits > 5) {
        return std::nullopt;
    }
    return unit > 1 ? number / unit : number;
}

}  // namespace vitalproof::inline VITALPROOF_ABI
