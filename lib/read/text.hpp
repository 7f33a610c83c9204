// Small helpers for text of unknown origin.
// Used by the readers. Promises ASCII rules whatever the locale, and to leave other bytes alone.
#pragma once

#include <vitalproof/charted_text.hpp>

#include <cstddef>
#include <string>
#include <string_view>

namespace vitalproof::read {

constexpr bool is_blank(char c) { return c == ' ' || c == '\t'; }

constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Without blanks and tabs at either end.
constexpr std::string_view trimmed(std::string_view text) {
    while (!text.empty() && is_blank(text.front())) {
        text.remove_prefix(1);
    }
    while (!text.empty() && is_blank(text.back())) {
        text.remove_suffix(1);
    }
    return text;
}

namespace detail {
std::string_view without_wide_blanks(std::string_view text);
}

/// The same, and without what other keyboards and web pages put for a blank: the non-breaking,
/// narrow and full-width spaces of UTF-8 and the byte order mark.
inline std::string_view trimmed_wide(std::string_view text) {
    text = trimmed(text);
    const bool ascii = text.empty() || ((text.front() | text.back()) & 0x80) == 0;
    return ascii ? text : detail::without_wide_blanks(text);
}

/// Whether there is nothing but blanks, wide ones included.
inline bool is_blank(std::string_view text) { return trimmed_wide(text).empty(); }

/// Equal but for the case of ASCII letters.
constexpr bool same_word(std::string_view a, std::string_view b) {
    return vitalproof::detail::equal_ignoring_case(a, b);
}

/// ASCII letters and digits in lower case, everything else dropped: what names are compared by.
std::string bare_name(std::string_view text);

/// One step through UTF-8: a well-formed character, or as many bytes as Unicode would have replaced
/// by one U+FFFD (its "maximal subpart", section 3.9).
struct utf_8_step {
    std::size_t bytes;
    bool sound;
};

/// The first step through a text that is not empty.
utf_8_step next_character(std::string_view text);

/// At most `most` characters, an unprintable or malformed one as `?`; "..." behind a text cut.
std::string printable(std::string_view text, std::size_t most);

}  // namespace vitalproof::read
