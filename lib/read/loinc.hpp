// Vital signs by their LOINC codes.
// Used for rows and mappings that name a sign by its code. Promises that only a whole code with its
// check digit counts: 84806 is a number, 8480-6 a systolic pressure.
#pragma once

#include "read/charted_unit.hpp"
#include <vitalproof/reading.hpp>
#include <vitalproof/signs.hpp>

#include <optional>
#include <string_view>

namespace vitalproof::read {

struct coded_sign {
    std::string_view code;
    sign_id sign;
    std::optional<charted_unit> unit{};  ///< where the code's own name decides it
    bool heart_rate = false;             ///< by which method is not said
};

/// The sign of a code, with or without `LOINC` before it.
std::optional<coded_sign> sign_of_loinc(std::string_view text);

/// How a reading was obtained, where its code says it: a pulse felt, a pressure from within an
/// artery.
method method_of_loinc(std::string_view code);

}  // namespace vitalproof::read
