// Puts integers and texts where they belong without a string in between.
// Used by whatever is written once a finding. Promises the digits of std::to_string.
#pragma once

#include <vitalproof/config.hpp>

#include <algorithm>
#include <array>
#include <concepts>
#include <cstddef>
#include <string>
#include <string_view>
#include <type_traits>

namespace vitalproof::inline VITALPROOF_ABI {
namespace detail {

/// Puts a text and returns its end.
constexpr char* put(char* to, std::string_view text) {
    return std::copy_n(text.data(), text.size(), to);
}

/// Characters that an integer may take: as many as 64 bits can need, sign included.
inline constexpr std::size_t longest_integer = 20;

/// The digits of a number that is not negative; returns their end. Most have one to three, for
/// which this is quicker than the library's.
template <std::unsigned_integral Integer>
constexpr char* put_digits(char* to, Integer value) {
    const auto digit = [](Integer one) { return static_cast<char>('0' + one % 10); };
    if (value >= 1000) {
        to = put_digits(to, static_cast<Integer>(value / 1000));
        *to++ = digit(static_cast<Integer>(value / 100));
        *to++ = digit(static_cast<Integer>(value / 10));
    } else {
        if (value >= 100) {
            *to++ = digit(static_cast<Integer>(value / 100));
        }
        if (value >= 10) {
            *to++ = digit(static_cast<Integer>(value / 10));
        }
    }
    *to++ = digit(value);
    return to;
}

template <std::integral Integer>
constexpr char* put_integer(char* to, Integer value) {
    using magnitude = std::make_unsigned_t<Integer>;
    const auto bits = static_cast<magnitude>(value);
    if (value < 0) {
        *to++ = '-';
        return put_digits(to, static_cast<magnitude>(0 - bits));
    }
    return put_digits(to, bits);
}

template <std::integral Integer>
void append_integer(std::string& to, Integer value) {
    std::array<char, longest_integer> digits;
    const char* const end = put_integer(digits.data(), value);
    to.append(digits.data(), static_cast<std::size_t>(end - digits.data()));
}

}  // namespace detail
}  // namespace vitalproof::inline VITALPROOF_ABI
