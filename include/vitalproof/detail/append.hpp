// Appends integers to a text without a string in between.
// Used by whatever is written once a finding. Promises the digits of std::to_string.
#pragma once

#include <vitalproof/config.hpp>

#include <array>
#include <charconv>
#include <concepts>
#include <cstddef>
#include <string>

namespace vitalproof::inline VITALPROOF_ABI {
namespace detail {

template <std::integral Integer>
void append_integer(std::string& to, Integer value) {
    std::array<char, 20> digits{};  // as many as 64 bits can need, sign included
    const char* end = std::to_chars(digits.data(), digits.data() + digits.size(), value).ptr;
    to.append(digits.data(), static_cast<std::size_t>(end - digits.data()));
}

}  // namespace detail
}  // namespace vitalproof::inline VITALPROOF_ABI
