// Start tags that were met before, known again by their text.
// Used by the XML splitter: a file repeats a few hundred tags, so each is taken apart but once.
// Promises to hold plain tags only, bounded memory, and that what one thread was told of others may
// look at while more are taken in.
#pragma once

#include "read/special_bytes.hpp"

#include <array>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <memory>
#include <string_view>

namespace vitalproof::read {

/// One tag: a line of the cache.
struct alignas(64) xml_tag {
    static constexpr std::size_t longest = 58;

    std::uint8_t length = 0;
    std::uint8_t name_length = 0;  ///< with its prefix; the name begins behind the '<'
    bool self_closing = false;
    bool is_watched = false;  ///< as its owner has it
    std::uint16_t after = 0;  ///< the tag that came behind it the time before
    std::array<char, longest> bytes{};

    std::string_view text() const { return {bytes.data(), length}; }
    std::string_view qualified_name() const { return {bytes.data() + 1, name_length}; }
};

/// Whether the first bytes of two texts are the same: at most as many as the longest tag has, all
/// of which must be readable.
inline bool are_same(const char* one, const char* other, std::size_t length) {
#if defined(__SSE2__)
    const auto same = [one, other](unsigned at) {
        const __m128i equal =
            _mm_cmpeq_epi8(_mm_loadu_si128(reinterpret_cast<const __m128i*>(one + at)),
                           _mm_loadu_si128(reinterpret_cast<const __m128i*>(other + at)));
        return std::uint64_t{static_cast<std::uint32_t>(_mm_movemask_epi8(equal))} << at;
    };
    if (length <= 32) {
        const std::uint64_t half = same(0) | same(16);
        return ((half + 1) & ((std::uint64_t{1} << length) - 1)) == 0;
    }
    const std::uint64_t all = same(0) | same(16) | same(32) | same(42);
    return ((all + 1) & ((std::uint64_t{1} << length) - 1)) == 0;
#else
    return std::memcmp(one, other, length) == 0;
#endif
}

class xml_tags {
public:
    static constexpr std::uint32_t none = ~std::uint32_t{0};

    explicit xml_tags(std::uint64_t generation)
        : generation_(generation), tags_(std::make_unique<xml_tag[]>(most + 1)) {}

    /// The place of a tag of so many bytes, from '<' to '>'; none where it was not met before. As
    /// many bytes as the longest tag has must be readable.
    std::uint32_t find(const char* tag, std::size_t length) const;

    /// The same, and quicker, where the tag that came behind `last` the time before comes again.
    std::uint32_t find_behind(std::uint32_t last, const char* tag, std::size_t length);

    /// Takes a new tag apart and in; none where it is not plain, or there is no room.
    std::uint32_t add(std::string_view tag);

    /// Whether it is time for others, of the next generation.
    bool is_nearly_full() const { return count_ > most / 2; }
    std::uint64_t generation() const { return generation_; }

    std::size_t count() const { return count_; }
    const xml_tag& operator[](std::uint32_t place) const { return tags_[place]; }
    xml_tag& operator[](std::uint32_t place) { return tags_[place]; }

private:
    static constexpr std::size_t most = 2048;
    static constexpr std::size_t slots = 2 * most;

    bool is_same(std::uint32_t place, const char* tag, std::size_t length) const {
        return tags_[place].length == length && are_same(tags_[place].bytes.data(), tag, length);
    }
    static std::size_t slot_of(const char* tag, std::size_t length);

    std::uint64_t generation_;
    std::unique_ptr<xml_tag[]> tags_;  // and one behind them, so that it can be read
    std::size_t count_ = 0;
    std::array<std::uint16_t, slots> places_{};  // plus one; 0 where empty
};

// Three words cover all but the middle of the longest tags.
inline std::size_t xml_tags::slot_of(const char* tag, std::size_t length) {
    constexpr std::uint64_t odd = 0x9E3779B97F4A7C15;
    std::uint64_t first = 0;
    std::uint64_t second = 0;
    std::uint64_t last = 0;
    if (length < 8) {
        std::memcpy(&first, tag, length);
    } else {
        std::memcpy(&first, tag, 8);
        std::memcpy(&second, tag + (length < 16 ? length - 8 : 8), 8);
        std::memcpy(&last, tag + length - 8, 8);
    }
    const std::uint64_t mixed = ((first * odd) ^ second) * odd ^ last;
    return static_cast<std::size_t>((mixed * odd) >> 52) & (slots - 1);
}

inline std::uint32_t xml_tags::find(const char* tag, std::size_t length) const {
    for (std::size_t slot = slot_of(tag, length);; slot = (slot + 1) & (slots - 1)) {
        const std::uint32_t place = places_[slot];
        if (place == 0) {
            return none;
        }
        if (is_same(place - 1, tag, length)) {
            return place - 1;
        }
    }
}

inline std::uint32_t xml_tags::find_behind(std::uint32_t last, const char* tag,
                                           std::size_t length) {
    std::uint32_t place = tags_[last].after;
    if (!is_same(place, tag, length)) {
        place = find(tag, length);
        tags_[last].after = static_cast<std::uint16_t>(place == none ? 0 : place);
    }
    return place;
}

}  // namespace vitalproof::read
