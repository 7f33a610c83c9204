// Levels of responsiveness as they are charted: by letter, in words, as orientation.
// Used by read_cell and by readers that meet a letter alone. Promises that a digit alone is no
// level, since scales run both ways.
#pragma once

#include <vitalproof/signs.hpp>

#include <optional>
#include <string_view>

namespace vitalproof::read {

/// Alert, verbal, painful or unresponsive by its first letter, in either case; none for any other.
constexpr std::optional<responsiveness_level> level_of_letter(char letter) {
    constexpr std::string_view letters = "AVPU";
    const auto place = letters.find(static_cast<char>(letter & ~0x20));
    return place == std::string_view::npos
               ? std::nullopt
               : std::optional(static_cast<responsiveness_level>(place + 1));
}

/// The level that a text says: a letter, a word (`Verbal`, `responds to pain`, `A - Alert`), the
/// national standard's code, or that the patient is alert and oriented (`A&Ox4`, `AOx3`). None for
/// anything else.
std::optional<responsiveness_level> level_named(std::string_view text);

}  // namespace vitalproof::read
