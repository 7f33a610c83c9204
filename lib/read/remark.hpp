// What crews write beside a number that leaves the number as it is: `98% RA`, `RR 18`.
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

/// A text that begins with a number, and what the words before it say of the patient.
struct led_number {
    std::string_view text;
    facts known;
};

/// What stands behind the words that lead to a number, of a text that begins with none: the sign's
/// own name (`RR 18`, `SpO2: 98%`) or a remark (`irregular 110`). None where it does not, or where
/// anything else stands before the number, another sign's name above all. Common practice, no
/// source.
std::optional<led_number> behind_lead(sign_id sign, std::string_view text);

/// The first word of a text and what stands behind it; both empty where there is none. A percent
/// sign is a word of its own.
struct first_word {
    std::string_view word;
    std::string_view rest;
};
first_word split_word(std::string_view text);

}  // namespace vitalproof::read
