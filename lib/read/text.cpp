#include "read/text.hpp"

namespace vitalproof::read {

namespace {

bool continues(std::string_view text, std::size_t from, std::size_t count) {
    if (from + count > text.size()) {
        return false;
    }
    for (std::size_t i = from; i < from + count; ++i) {
        if ((static_cast<unsigned char>(text[i]) & 0xC0U) != 0x80) {
            return false;
        }
    }
    return true;
}

// Bytes of the well-formed, visible UTF-8 character at `at`; 0 where there is none. Controls
// (U+0080 to U+009F) and what steers the direction of writing (U+200B to U+206F, the byte order
// mark) count as invisible: they could dress a header up as another.
std::size_t visible_character(std::string_view text, std::size_t at) {
    const auto lead = static_cast<unsigned char>(text[at]);
    const auto second = at + 1 < text.size() ? static_cast<unsigned char>(text[at + 1]) : 0U;
    const auto third = at + 2 < text.size() ? static_cast<unsigned char>(text[at + 2]) : 0U;
    if (lead >= 0x20 && lead < 0x7F) {
        return 1;
    }
    if (lead >= 0xC2 && lead < 0xE0 && continues(text, at + 1, 1)) {
        return lead == 0xC2 && second < 0xA0 ? 0 : 2;
    }
    if (lead >= 0xE0 && lead < 0xF0 && continues(text, at + 1, 2)) {
        const bool overlong_or_surrogate =
            (lead == 0xE0 && second < 0xA0) || (lead == 0xED && second >= 0xA0);
        const bool steering = (lead == 0xE2 && second == 0x80 && third >= 0x8B) ||
                              (lead == 0xE2 && second == 0x81 && third >= 0xA0) ||
                              (lead == 0xEF && second == 0xBB && third == 0xBF);
        return overlong_or_surrogate || (steering && third != 0x93 && third != 0x94) ? 0 : 3;
    }
    if (lead >= 0xF0 && lead < 0xF5 && continues(text, at + 1, 3)) {
        return (lead == 0xF0 && second < 0x90) || (lead == 0xF4 && second >= 0x90) ? 0 : 4;
    }
    return 0;
}

}  // namespace

std::string bare_name(std::string_view text) {
    std::string bare;
    for (const char c : text) {
        if (vitalproof::detail::is_letter(c) || is_digit(c)) {
            bare += vitalproof::detail::lower(c);
        }
    }
    return bare;
}

std::string printable(std::string_view text, std::size_t most) {
    std::string shown;
    std::size_t at = 0;
    for (std::size_t characters = 0; at < text.size() && characters < most; ++characters) {
        const std::size_t bytes = visible_character(text, at);
        if (bytes == 0) {
            shown += '?';
        } else {
            shown += text.substr(at, bytes);
        }
        at += bytes == 0 ? 1 : bytes;
    }
    return at < text.size() ? shown + "..." : shown;
}

}  // namespace vitalproof::read
