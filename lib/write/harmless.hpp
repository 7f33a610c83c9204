// Characters that act on the text around them instead of being read.
// Used by what is written for a spreadsheet and for a terminal. Promises to name controls and what
// changes the direction of writing, and no letter or sign of any script.
#pragma once

#include <string_view>

namespace vitalproof::write {

/// Whether a well-formed character beyond ASCII is a control (U+0080 to U+009F) or turns the
/// direction of the text behind it (U+202A to U+202E, U+2066 to U+2069).
constexpr bool acts_on_text(std::string_view character) {
    return (character >= "\xC2\x80" && character < "\xC2\xA0") ||
           (character >= "\xE2\x80\xAA" && character <= "\xE2\x80\xAE") ||
           (character >= "\xE2\x81\xA6" && character <= "\xE2\x81\xA9");
}

}  // namespace vitalproof::write
