// What crews write behind a number that leaves the number as it is: `98% RA`, `54 (paced)`.
// Used by read_cell. Promises that nothing is passed over but words that are said of the sign, so
// that any other text, a second number among them, leaves the cell unreadable.
#pragma once

#include <vitalproof/facts.hpp>
#include <vitalproof/signs.hpp>

#include <optional>
#include <string_view>

namespace vitalproof::read {

/// What a remark says of the patient, nothing for most: `irregular`, `paced`, `assisted`, `RA`
/// (room air) and `2L NC` decide whether other values can be true. None where it holds anything but
/// words said of this sign. Words are parted by blanks, commas and brackets. Common practice, no
/// source.
std::optional<facts> read_remark(sign_id sign, std::string_view remark);

/// The first word of a text and what stands behind it; both empty where there is none. A percent
/// sign is a word of its own.
struct first_word {
    std::string_view word;
    std::string_view rest;
};
first_word split_word(std::string_view text);

}  // namespace vitalproof::read
