#include "read/angle_marks.hpp"

#include "catalogue/processor_level.hpp"

#include <algorithm>

#if defined(__x86_64__)
#include <immintrin.h>
#endif

namespace vitalproof::read {

namespace {

/// Says of 64 bytes which are angle brackets, and remembers whether any was NUL.
struct angle_scanner {
#if defined(__SSE2__)
    std::uint64_t scan(const char* bytes) {
        const auto scan_16 = [&](unsigned at) {
            const __m128i x = _mm_loadu_si128(reinterpret_cast<const __m128i*>(bytes + at));
            least = _mm_min_epu8(least, x);
            // '<' and '>' differ in one bit.
            const __m128i angles =
                _mm_cmpeq_epi8(_mm_or_si128(x, _mm_set1_epi8('<' ^ '>')), _mm_set1_epi8('>'));
            return std::uint64_t{static_cast<std::uint32_t>(_mm_movemask_epi8(angles))} << at;
        };
        return scan_16(0) | scan_16(16) | scan_16(32) | scan_16(48);
    }
    bool any_nul() const {
        return _mm_movemask_epi8(_mm_cmpeq_epi8(least, _mm_setzero_si128())) != 0;
    }

    __m128i least = _mm_set1_epi8('\x7F');
#else
    std::uint64_t scan(const char* bytes) {
        std::uint64_t marks = 0;
        for (std::size_t i = 0; i < special_block; ++i) {
            marks |= std::uint64_t{bytes[i] == '<' || bytes[i] == '>'} << i;
            nul = nul || bytes[i] == '\0';
        }
        return marks;
    }
    bool any_nul() const { return nul; }

    bool nul = false;
#endif
};

/// One mark after the other.
void mark_by_turns(const char* text, std::size_t size, angle_marks& into) {
    angle_scanner scanner;
    std::uint16_t* out = into.places.data();
    const auto note = [&out](std::size_t block, std::uint64_t marks) {
        for (; marks != 0; marks &= marks - 1) {
            *out++ = static_cast<std::uint16_t>(block + lowest_mark(marks));
        }
    };
    std::size_t block = 0;
    for (; block + special_block <= size; block += special_block) {
        note(block, scanner.scan(text + block));
    }
    std::array<char, special_block> rest;
    rest.fill(' ');
    std::copy_n(text + block, size - block, rest.begin());
    note(block, scanner.scan(rest.data()));
    into.count = static_cast<std::size_t>(out - into.places.data());
    into.any_nul = scanner.any_nul();
}

#if defined(__x86_64__)

/// 64 bytes at once, and of each half the marked ones' places side by side: without the branch for
/// each mark that no processor guesses.
[[gnu::target("avx512f,avx512bw,avx512vl,avx512vbmi2,popcnt")]] void mark_by_blocks(
    const char* text, std::size_t size, angle_marks& into) {
    constexpr std::size_t half = special_block / 2;
    alignas(half) static constexpr auto numbers = [] {
        std::array<std::uint8_t, half> all{};
        for (std::size_t i = 0; i < half; ++i) {
            all[i] = static_cast<std::uint8_t>(i);
        }
        return all;
    }();
    const __m256i places = _mm256_load_si256(reinterpret_cast<const __m256i*>(numbers.data()));
    const __m512i blank = _mm512_set1_epi8(' ');
    std::uint16_t* out = into.places.data();
    std::uint64_t nul = 0;
    for (std::size_t block = 0; block < size; block += special_block) {
        const std::size_t rest = size - block;
        const std::uint64_t there =
            rest < special_block ? (std::uint64_t{1} << rest) - 1 : ~std::uint64_t{0};
        const __m512i x = _mm512_mask_loadu_epi8(blank, there, text + block);
        nul |= _mm512_testn_epi8_mask(x, x);
        // '<' and '>' differ in one bit.
        const std::uint64_t marks = _mm512_cmpeq_epi8_mask(
            _mm512_or_si512(x, _mm512_set1_epi8('<' ^ '>')), _mm512_set1_epi8('>'));
        for (std::size_t from = 0; from < special_block; from += half) {
            const auto of_half = static_cast<std::uint32_t>(marks >> from);
            const __m512i marked =
                _mm512_cvtepu8_epi16(_mm256_maskz_compress_epi8(of_half, places));
            const __m512i begin = _mm512_set1_epi16(static_cast<std::int16_t>(block + from));
            _mm512_storeu_si512(out, _mm512_add_epi16(marked, begin));
            out += _mm_popcnt_u32(of_half);
        }
    }
    into.count = static_cast<std::size_t>(out - into.places.data());
    into.any_nul = nul != 0;
}

#endif

using marker = void (*)(const char*, std::size_t, angle_marks&);

marker choose_marker() {
#if defined(__x86_64__)
    __builtin_cpu_init();
    if (is_level_wanted("avx512") && __builtin_cpu_supports("avx512f") &&
        __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512vl") &&
        __builtin_cpu_supports("avx512vbmi2") && __builtin_cpu_supports("popcnt")) {
        return &mark_by_blocks;
    }
#endif
    return &mark_by_turns;
}

}  // namespace

void mark_angles(const char* text, std::size_t size, angle_marks& into) {
    static const marker chosen = choose_marker();
    chosen(text, size, into);
}

}  // namespace vitalproof::read
