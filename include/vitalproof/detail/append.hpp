// Appends integers to a text without a string in between.
// Used by whatever is written once a finding. Promises the digits of std::to_string.
#pragma once

#include <vitalproof/config.hpp>

#include <array>
#include <concepts>
#include <cstddef>
#include <string>
#include <type_traits>

namespace vitalproof::inline VITALPROOF_ABI {
namespace detail {

/// The digits of a number that is not negative, ending right before `end`; returns where they
/// begin. Most have one to three, for which this is quicker than the library's.
template <std::unsigned_integral Integer>
constexpr char* put_digits(char* end, Integer value) {
    do {
        *--end = static_cast<char>('0' + value % 10);
        value = static_cast<Integer>(value / 10);
    } while (value != 0);
    return end;
}

template <std::integral Integer>
void append_integer(std::string& to, Integer value) {
    std::array<char, 20> digits{};  // as many as 64 bits can need, sign included
    char* const end = digits.data() + digits.size();
    using magnitude = std::make_unsigned_t<Integer>;
    const bool negative = value < 0;
    const auto bits = static_cast<magnitude>(value);
    char* begin = put_digits(end, negative ? static_cast<magnitude>(0 - bits) : bits);
    if (negative) {
        *--begin = '-';
    }
    to.append(begin, static_cast<std::size_t>(end - begin));
}

}  // namespace detail
}  // namespace vitalproof::inline VITALPROOF_ABI
