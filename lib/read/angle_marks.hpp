// Where the angle brackets of a text stand, and how many lines end in it.
// Used by the XML splitter, for whom it is the only look at every byte.
// Promises a place for every '<' and '>', lowest first, and to tell whether any byte is NUL: the
// same whatever the processor.
#pragma once

#include "read/special_bytes.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace vitalproof::read {

/// The angle brackets of a window of text.
struct angle_marks {
    static constexpr std::size_t window = std::size_t{1} << 13;

    /// With room behind them, since they are written by blocks.
    std::array<std::uint16_t, window + special_block> places;
    std::size_t count = 0;
    bool any_nul = false;
};

/// Finds the angle brackets of `size` bytes, at most a window, by the best code this processor has.
void mark_angles(const char* text, std::size_t size, angle_marks& into);

/// Whether a text holds one of three bytes. 16 bytes behind it must be readable.
inline bool holds(std::string_view text, char a, char b, char c) {
#if defined(__SSE2__)
    for (std::size_t at = 0; at < text.size(); at += 16) {
        const __m128i x = _mm_loadu_si128(reinterpret_cast<const __m128i*>(text.data() + at));
        const auto are = [x](char byte) { return _mm_cmpeq_epi8(x, _mm_set1_epi8(byte)); };
        const auto found = static_cast<std::uint32_t>(
            _mm_movemask_epi8(_mm_or_si128(are(a), _mm_or_si128(are(b), are(c)))));
        const std::size_t rest = std::min<std::size_t>(text.size() - at, 16);
        if ((found & ((std::uint32_t{1} << rest) - 1)) != 0) {
            return true;
        }
    }
    return false;
#else
    return std::ranges::any_of(text, [=](char x) { return x == a || x == b || x == c; });
#endif
}

/// How many lines end between two places.
inline std::uint64_t count_line_ends(const char* from, const char* to) {
    std::uint64_t count = 0;
#if defined(__SSE2__)
    const __m128i line_end = _mm_set1_epi8('\n');
    const auto ends_in = [line_end](const char* at) {
        return _mm_cmpeq_epi8(_mm_loadu_si128(reinterpret_cast<const __m128i*>(at)), line_end);
    };
    while (to - from >= 64) {
        __m128i of_lane = _mm_setzero_si128();  // at most 4 a round, 255 in all
        for (int rounds = 0; rounds < 63 && to - from >= 64; ++rounds, from += 64) {
            const __m128i first = _mm_add_epi8(ends_in(from), ends_in(from + 16));
            const __m128i second = _mm_add_epi8(ends_in(from + 32), ends_in(from + 48));
            of_lane = _mm_sub_epi8(of_lane, _mm_add_epi8(first, second));
        }
        const __m128i sums = _mm_sad_epu8(of_lane, _mm_setzero_si128());
        count += static_cast<std::uint64_t>(_mm_cvtsi128_si64(sums)) +
                 static_cast<std::uint64_t>(_mm_cvtsi128_si64(_mm_unpackhi_epi64(sums, sums)));
    }
#endif
    return count + static_cast<std::uint64_t>(std::count(from, to, '\n'));
}

}  // namespace vitalproof::read
