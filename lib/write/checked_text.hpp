// A text that goes into several files, looked at once.
// Used by the writers of findings and of the page. Promises that what is called plain stands in
// JSON as it is, and in a table but for its commas.
#pragma once

#include "write/special_bytes.hpp"

#include <string_view>

namespace vitalproof::write {

/// Bytes that are not printable ASCII, and those that end or begin something within quotes.
inline constexpr auto is_not_plain = [](auto c) {
    return (c < ' ') | (c > '~') | (c == '"') | (c == '\\');
};

/// Handed on by reference: too large for registers, it would be copied through memory.
struct checked_text {
    std::string_view text{};
    bool plain = false;

    checked_text part(std::size_t begin, std::size_t end) const {
        return {text.substr(begin, end - begin), plain};
    }
};

inline checked_text checked(std::string_view text) {
    return {text, !has_special(text, is_not_plain)};
}

}  // namespace vitalproof::write
