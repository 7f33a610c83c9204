// Finds the bytes of a text that may not be written as they are.
// Used by the writers of CSV and JSON, through which every byte of every finding passes.
// Promises to ask sixteen bytes at a time, on any processor.
#pragma once

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <string_view>

namespace vitalproof::write {

namespace detail {

/// Sixteen bytes compared at once; GCC and Clang have code for them everywhere.
using sixteen_bytes [[gnu::vector_size(16)]] = unsigned char;

/// The text's first sixteen bytes; a shorter one is filled up with spaces, which are never special.
inline sixteen_bytes first_sixteen(std::string_view text) {
    sixteen_bytes bytes;
    if (text.size() >= sizeof bytes) {
        std::memcpy(&bytes, text.data(), sizeof bytes);
    } else {
        std::memset(&bytes, ' ', sizeof bytes);
        std::memcpy(&bytes, text.data(), text.size());
    }
    return bytes;
}

/// The place of the lowest byte that is not zero; there must be one.
constexpr std::size_t first_set_byte(std::uint64_t bytes) {
    constexpr bool lowest_first = std::endian::native == std::endian::little;
    const int bit = lowest_first ? std::countr_zero(bytes) : std::countl_zero(bytes);
    return static_cast<std::size_t>(bit) / 8;
}

}  // namespace detail

/// The place of the first byte that `special` answers to, else the text's size. `special` compares
/// sixteen unsigned bytes at once, so it joins its comparisons by `|`; it must pass over spaces.
template <class Special>
std::size_t first_special(std::string_view text, Special special) {
    for (std::size_t at = 0; at < text.size(); at += sizeof(detail::sixteen_bytes)) {
        const auto answers = special(detail::first_sixteen(text.substr(at)));
        std::array<std::uint64_t, 2> halves{};
        static_assert(sizeof halves == sizeof answers);
        std::memcpy(halves.data(), &answers, sizeof answers);
        if (halves[0] != 0) {
            return at + detail::first_set_byte(halves[0]);
        }
        if (halves[1] != 0) {
            return at + 8 + detail::first_set_byte(halves[1]);
        }
    }
    return text.size();
}

}  // namespace vitalproof::write
