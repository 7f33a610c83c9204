// What is charted where there is no value: why there is none, or nothing.
// Used by every reader of cells. Promises that a word it does not know is none.
#pragma once

#include <vitalproof/reading.hpp>

#include <optional>
#include <string_view>

namespace vitalproof::read {

/// Why a text holds no value: blank for dashes, `NaN` and `null`, which give no reason; `N/A`,
/// `refused`, `unable to obtain`, `not recorded` and their like; the codes of the national standard
/// for an element without a value. None for any other text, and for an empty one.
std::optional<absence> absence_named(std::string_view text);

/// Whether a text, without blanks around it, says nothing that could be used.
inline bool says_nothing(std::string_view text) {
    return text.empty() || absence_named(text).has_value();
}

}  // namespace vitalproof::read
