// Which of 64 bytes a tokenizer must look at: delimiters, and quotes, line ends, NUL.
// Used by the tokenizer alone, for whom it is most of the work.
// Promises a bit for every such byte, lowest first; the other control characters below 14 may be
// marked as well, which the tokenizer must pass over.
#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

namespace vitalproof::read {

inline constexpr std::size_t special_block = 64;

struct special_marks {
    std::uint64_t delimiters = 0;
    std::uint64_t others = 0;  ///< quotes and control characters

    bool none() const { return (delimiters | others) == 0; }
};

/// Marks the special bytes of 64. One comparison with 13 covers LF, CR and NUL, at the price of a
/// look at the few other control characters too.
inline special_marks mark_special(const char* bytes, char delimiter) {
    special_marks marks;
#if defined(__SSE2__)
    const auto mark_16 = [&](unsigned at) {
        const __m128i x = _mm_loadu_si128(reinterpret_cast<const __m128i*>(bytes + at));
        const __m128i delimiters = _mm_cmpeq_epi8(x, _mm_set1_epi8(delimiter));
        const __m128i quotes = _mm_cmpeq_epi8(x, _mm_set1_epi8('"'));
        const __m128i controls = _mm_cmpeq_epi8(_mm_min_epu8(x, _mm_set1_epi8('\r')), x);
        const __m128i others = _mm_andnot_si128(delimiters, _mm_or_si128(quotes, controls));
        const auto bits = [at](__m128i lanes) {
            return std::uint64_t{static_cast<std::uint32_t>(_mm_movemask_epi8(lanes))} << at;
        };
        marks.delimiters |= bits(delimiters);
        marks.others |= bits(others);
    };
    mark_16(0);
    mark_16(16);
    mark_16(32);
    mark_16(48);
#else
    for (std::size_t i = 0; i < special_block; ++i) {
        const auto c = static_cast<unsigned char>(bytes[i]);
        const bool is_delimiter = bytes[i] == delimiter;
        marks.delimiters |= std::uint64_t{is_delimiter} << i;
        marks.others |= std::uint64_t{!is_delimiter && (c == '"' || c <= '\r')} << i;
    }
#endif
    return marks;
}

/// How many bits are set. std::popcount is a library call where the processor need not have the
/// instruction.
constexpr std::size_t count_marks(std::uint64_t marks) {
    marks -= (marks >> 1) & 0x5555555555555555U;
    marks = (marks & 0x3333333333333333U) + ((marks >> 2) & 0x3333333333333333U);
    marks = (marks + (marks >> 4)) & 0x0F0F0F0F0F0F0F0FU;
    return static_cast<std::size_t>((marks * 0x0101010101010101U) >> 56);
}

/// The lowest mark's place; there must be one.
constexpr std::size_t lowest_mark(std::uint64_t marks) {
    return static_cast<std::size_t>(static_cast<unsigned>(std::countr_zero(marks)));
}

}  // namespace vitalproof::read
