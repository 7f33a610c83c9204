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

inline sixteen_bytes sixteen_at(const char* text) {
    sixteen_bytes bytes;
    std::memcpy(&bytes, text, sizeof bytes);
    return bytes;
}

/// The text's first sixteen bytes; a shorter one is filled up with spaces, which are never special.
inline sixteen_bytes first_sixteen(std::string_view text) {
    if (text.size() >= sizeof(sixteen_bytes)) {
        return sixteen_at(text.data());
    }
    sixteen_bytes bytes;
    std::memset(&bytes, ' ', sizeof bytes);
    std::memcpy(&bytes, text.data(), text.size());
    return bytes;
}

/// Two eights of bytes that hold all of a text of 1 to 16, some of them twice: no call to copy it.
inline std::array<std::uint64_t, 2> all_of(std::string_view text) {
    std::array<std::uint64_t, 2> eights;
    if (text.size() >= 8) {
        std::memcpy(&eights[0], text.data(), 8);
        std::memcpy(&eights[1], text.data() + text.size() - 8, 8);
    } else if (text.size() >= 4) {
        std::array<std::uint32_t, 2> fours;
        std::memcpy(&fours[0], text.data(), 4);
        std::memcpy(&fours[1], text.data() + text.size() - 4, 4);
        eights.fill(std::uint64_t{fours[0]} << 32U | fours[1]);
    } else {
        const auto byte = [text](std::size_t at) -> std::uint64_t {
            return static_cast<unsigned char>(text[at]);
        };
        constexpr std::uint64_t spaces = 0x2020202020000000;
        eights.fill(spaces | byte(0) << 16U | byte(text.size() / 2) << 8U | byte(text.size() - 1));
    }
    return eights;
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

/// Whether there is such a byte: nearly no text has one, and to say so needs no look at its place.
template <class Special>
bool has_special(std::string_view text, Special special) {
    using detail::sixteen_bytes;
    if (text.empty()) {
        return false;
    }
    const bool long_text = text.size() >= sizeof(sixteen_bytes);
    const std::array<std::uint64_t, 2> few =
        long_text ? std::array<std::uint64_t, 2>{} : detail::all_of(text);
    const char* const last = text.data() + text.size() - sizeof(sixteen_bytes);
    auto answers =
        special(detail::sixteen_at(long_text ? last : reinterpret_cast<const char*>(few.data())));
    for (const char* at = text.data(); long_text && at < last; at += sizeof(sixteen_bytes)) {
        answers |= special(detail::sixteen_at(at));
    }
    std::array<std::uint64_t, 2> halves;
    std::memcpy(halves.data(), &answers, sizeof answers);
    return (halves[0] | halves[1]) != 0;
}

}  // namespace vitalproof::write
