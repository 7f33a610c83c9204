// A cell's text as a number, exactly as the nearest double.
// Used for every vital sign that is read from text. Promises that all of the text is the number:
// no hexadecimal, no infinity, no "12O" read as 12; and that -0 is 0.
#pragma once

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <optional>
#include <string_view>

namespace vitalproof::read {

/// Any decimal number, with sign, fraction and exponent (`98.6`, `+5`, `.5`, `1e300`). None for
/// everything else, an overflow (`1e999`) and surrounding blanks included.
std::optional<double> parse_number(std::string_view text);

namespace detail {
std::optional<double> parse_comma(std::string_view text, bool decimal_comma);
}

/// The same where a comma may stand in it. In a file whose cells commas do not separate it is the
/// decimal sign (`36,8`), unless three digits behind it could as well be a group of thousands; in
/// one where they do it only groups (`1,200`). None for what could be meant in two ways.
inline std::optional<double> parse_number_with_comma(std::string_view text, bool decimal_comma) {
    const auto value = parse_number(text);
    return value ? value : detail::parse_comma(text, decimal_comma);
}

namespace detail {

inline constexpr std::array<double, 9> small_powers_of_ten{1e0, 1e1, 1e2, 1e3, 1e4,
                                                           1e5, 1e6, 1e7, 1e8};

}  // namespace detail

namespace detail {

template <class Word>
Word load(const char* from) {
    Word word;
    std::memcpy(&word, from, sizeof word);
    return word;
}

// One to eight characters, behind which nothing may be read, as the word they begin. It is put
// together of the first and the last of them; where these lie over each other they are the same.
inline std::uint64_t load_within(std::string_view text) {
    const auto twice = [text]<class Half>(Half first) {
        const std::size_t second = text.size() - sizeof first;
        return first | std::uint64_t{load<Half>(text.data() + second)} << (8 * second);
    };
    return text.size() >= 4   ? twice(load<std::uint32_t>(text.data()))
           : text.size() >= 2 ? twice(load<std::uint16_t>(text.data()))
                              : std::uint64_t{load<std::uint8_t>(text.data())};
}

// Up to four digits and nothing else, most significant in the lowest byte of a little-endian word.
inline bool parse_four_digits(std::uint32_t word, std::size_t size, double& value) {
    constexpr std::uint32_t zeros = 0x30303030U;
    const auto unused = static_cast<unsigned>(32 - 8 * size);
    // Right-align the characters and make them digits: leading positions become 0.
    word = (word ^ zeros) << unused;
    if ((((word + 0x76767676U) | word) & 0x80808080U) != 0) {
        return false;
    }
    word = word * 10 + (word >> 8);  // pairs, in the first and third byte
    value = static_cast<double>((word & 0xFFU) * 100 + ((word >> 16) & 0xFFU));
    return true;
}

// Up to eight characters, digits and at most one point. Kept out of line: inlined for every sign it
// made reading slower.
[[gnu::noinline]] inline bool parse_eight_characters(std::uint64_t word, std::size_t size,
                                                     double& value) {
    constexpr std::uint64_t ones = 0x0101010101010101U;
    constexpr std::uint64_t zeros = 0x30 * ones;
    // Right-align the characters: leading positions become '0'.
    word = (word << (64 - 8 * size)) | (zeros >> (8 * size - 1) >> 1);

    // Find a point and close the gap it leaves, moving what precedes it up by one character.
    const std::uint64_t unlike_point = word ^ (0x2E * ones);
    const std::uint64_t points = (unlike_point - ones) & ~unlike_point & (0x80 * ones);
    std::size_t decimals = 0;
    if (points != 0) {
        const auto at = static_cast<unsigned>(std::countr_zero(points)) & ~7U;
        const std::uint64_t before = (std::uint64_t{1} << at) - 1;
        word = (word & ~before & ~(std::uint64_t{0xFF} << at)) | ((word & before) << 8) | 0x30;
        decimals = 7 - at / 8;
        if (size == 1) {
            return false;  // a point alone
        }
    }
    if ((((word + 0x46 * ones) | (word - zeros)) & (0x80 * ones)) != 0) {
        return false;
    }
    // Pairs, then fours, then all eight digits.
    word = (word & (0x0F * ones)) * 2561 >> 8;
    word = (word & 0x00FF00FF00FF00FFU) * 6553601 >> 16;
    word = (word & 0x0000FFFF0000FFFFU) * 42949672960001U >> 32;
    value = static_cast<double>(static_cast<std::uint32_t>(word));
    if (decimals != 0) {
        value /= small_powers_of_ten[decimals];  // both exact: correctly rounded
    }
    return true;
}

}  // namespace detail

/// The fastest way: 1 to 4 digits and nothing else, followed by 4 readable bytes.
inline bool parse_few_digits(std::string_view text, double& value) {
    return text.size() - 1 < 4 &&
           detail::parse_four_digits(detail::load<std::uint32_t>(text.data()), text.size(), value);
}

/// The fast way for what nearly every cell holds: 1 to 8 characters, digits and at most one point.
/// `text` must be followed by 8 readable bytes. False says "not of that form", not "no number".
/// Without a loop over the digits, whose end would be mispredicted for every third cell.
inline bool parse_short_decimal(std::string_view text, double& value) {
    static_assert(std::endian::native == std::endian::little,
                  "characters are read as one little-endian word");
    const std::size_t size = text.size();
    return parse_few_digits(text, value) ||
           (size - 1 < 8 &&
            detail::parse_eight_characters(detail::load<std::uint64_t>(text.data()), size, value));
}

/// The same of a text behind which nothing may be read.
inline bool parse_short_decimal_within(std::string_view text, double& value) {
    const std::size_t size = text.size();
    if (size - 1 >= 8) {
        return false;
    }
    const std::uint64_t word = detail::load_within(text);
    return (size <= 4 &&
            detail::parse_four_digits(static_cast<std::uint32_t>(word), size, value)) ||
           detail::parse_eight_characters(word, size, value);
}

}  // namespace vitalproof::read
