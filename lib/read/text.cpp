#include "read/text.hpp"

#include <algorithm>
#include <array>

namespace vitalproof::read {

namespace {

constexpr std::array<std::string_view, 8> wide_blanks{
    "\xC2\xA0",      // U+00A0, no-break space
    "\xE3\x80\x80",  // U+3000, as wide as a letter of Chinese or Japanese
    "\xE2\x80\xAF",  // U+202F, narrow no-break space
    "\xE2\x80\x87",  // U+2007, as wide as a digit
    "\xE2\x80\x89",  // U+2009, thin space
    "\xE2\x80\x82",  // U+2002, en space
    "\xE2\x80\x83",  // U+2003, em space
    "\xEF\xBB\xBF",  // U+FEFF, byte order mark
};

// Bytes of the well-formed, visible UTF-8 character at `at`; 0 where there is none. Controls
// (U+0080 to U+009F) and what steers the direction of writing (U+200B to U+206F, the byte order
// mark) count as invisible: they could dress a header up as another.
std::size_t visible_character(std::string_view text, std::size_t at) {
    const utf_8_step step = next_character(text.substr(at));
    const std::string_view c = text.substr(at, step.bytes);
    if (!step.sound || c < " " || c == "\x7F" || (c >= "\xC2\x80" && c < "\xC2\xA0")) {
        return 0;
    }
    const bool steering = (c >= "\xE2\x80\x8B" && c < "\xE2\x80\xC0") ||
                          (c >= "\xE2\x81\xA0" && c < "\xE2\x81\xC0") || c == "\xEF\xBB\xBF";
    const bool dash = c == "\xE2\x80\x93" || c == "\xE2\x80\x94";
    return steering && !dash ? 0 : step.bytes;
}

}  // namespace

std::string_view detail::without_wide_blanks(std::string_view text) {
    for (;;) {
        text = trimmed(text);
        const auto at_end = [text](std::string_view blank) {
            return text.starts_with(blank) || text.ends_with(blank);
        };
        const auto* const blank = std::ranges::find_if(wide_blanks, at_end);
        if (blank == wide_blanks.end()) {
            return text;
        }
        text.starts_with(*blank) ? text.remove_prefix(blank->size())
                                 : text.remove_suffix(blank->size());
    }
}

// The bytes that may follow are those of Unicode's table 3-7.
utf_8_step next_character(std::string_view text) {
    const auto lead = static_cast<unsigned char>(text[0]);
    if (lead < 0x80) {
        return {1, true};
    }
    if (lead < 0xC2 || lead > 0xF4) {
        return {1, false};
    }
    const std::size_t size = lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : 4;
    unsigned lowest = lead == 0xE0 ? 0xA0 : lead == 0xF0 ? 0x90 : 0x80;
    unsigned highest = lead == 0xED ? 0x9F : lead == 0xF4 ? 0x8F : 0xBF;
    for (std::size_t i = 1; i < size; ++i) {
        const unsigned byte = i < text.size() ? static_cast<unsigned char>(text[i]) : 0U;
        if (byte < lowest || byte > highest) {
            return {i, false};
        }
        lowest = 0x80;
        highest = 0xBF;
    }
    return {size, true};
}

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
