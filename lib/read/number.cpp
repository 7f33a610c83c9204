#include "read/number.hpp"

#include "read/text.hpp"

#include <fast_float/fast_float.h>

#include <algorithm>
#include <cmath>
#include <string>

namespace vitalproof::read {

namespace {

constexpr std::array<double, 23> exact_powers_of_ten{1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                     1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                                     1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

// Up to 15 digits with at most one point: the digits are below 2^53 and the power of ten is exact,
// so one division rounds correctly.
std::optional<double> parse_plain(std::string_view text) {
    std::uint64_t digits = 0;
    std::size_t count = 0;
    std::size_t decimals = 0;
    bool after_point = false;
    for (const char c : text) {
        if (is_digit(c)) {
            digits = digits * 10 + static_cast<std::uint64_t>(c - '0');
            decimals += after_point ? 1 : 0;
            if (++count > 15) {
                return std::nullopt;
            }
        } else if (c == '.' && !after_point) {
            after_point = true;
        } else {
            return std::nullopt;
        }
    }
    if (count == 0) {
        return std::nullopt;
    }
    return static_cast<double>(digits) / exact_powers_of_ten[decimals];
}

std::optional<double> parse_any(std::string_view text) {
    // fast_float reads "inf" and "nan" too: a number begins with a digit, or a point and a digit.
    const std::size_t first = text.starts_with('.') ? 1 : 0;
    if (first >= text.size() || !is_digit(text[first])) {
        return std::nullopt;
    }
    double value = 0;
    const char* const end = text.data() + text.size();
    const auto [stop, code] = fast_float::from_chars(text.data(), end, value);
    if (code != std::errc() || stop != end || !std::isfinite(value)) {
        return std::nullopt;
    }
    return value;
}

constexpr std::size_t longest_with_comma = 32;

bool all_digits(std::string_view text) { return std::ranges::all_of(text, is_digit); }

// 1,200 and 1,234,567: up to three digits, the first of them no zero, then groups of three.
bool is_grouped(std::string_view text) {
    const std::size_t first = text.find(',');
    if (first == 0 || first > 3 || text[0] == '0' || !all_digits(text.substr(0, first))) {
        return false;
    }
    for (text.remove_prefix(first); !text.empty(); text.remove_prefix(4)) {
        if (text.size() < 4 || text[0] != ',' || !all_digits(text.substr(1, 3))) {
            return false;
        }
    }
    return true;
}

}  // namespace

std::optional<double> detail::parse_comma(std::string_view text, bool decimal_comma) {
    const auto commas = std::ranges::count(text, ',');
    const bool is_signed = text.starts_with('+') || text.starts_with('-');
    const bool grouped = is_grouped(text.substr(is_signed ? 1 : 0));
    if (commas == 0 || text.size() > longest_with_comma || grouped == decimal_comma ||
        (decimal_comma && (commas > 1 || text.find('.') != std::string_view::npos))) {
        return std::nullopt;
    }
    std::string rewritten;
    for (const char c : text) {
        if (c != ',') {
            rewritten += c;
        } else if (decimal_comma) {
            rewritten += '.';
        }
    }
    return parse_number(rewritten);
}

std::optional<double> parse_number(std::string_view text) {
    const bool negative = text.starts_with('-');
    if (negative || text.starts_with('+')) {
        text.remove_prefix(1);
    }
    std::optional<double> value = parse_plain(text);
    if (!value) {
        value = parse_any(text);
    }
    if (value && negative) {
        value = 0 - *value;  // 0 - 0 is 0, where -(0) would be -0
    }
    return value;
}

}  // namespace vitalproof::read
