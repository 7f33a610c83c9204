// The codes by which FHIR says a unit, an absence, an answer or a method.
// Used by read_fhir. Promises that a code it does not know is none, never a guess, and that a
// unit's code counts as UCUM writes it: Cel is a temperature, C and F are electrical.
#pragma once

#include "read/charted_unit.hpp"
#include <vitalproof/reading.hpp>

#include <optional>
#include <string_view>

namespace vitalproof::read {

/// A code and the system it belongs to, as a Coding or a Quantity has them.
struct fhir_code {
    std::string_view system{};
    std::string_view code{};
};

bool is_loinc(std::string_view system);
bool is_ucum(std::string_view system);

/// A unit by its UCUM code, what stands in braces left out; it need not be one of the sign's. The
/// unit `1` is a fraction of a saturation, else a point of a score.
std::optional<charted_unit> unit_of_ucum(std::string_view code, sign_id sign);

/// What a reason for absence makes of a reading.
struct absent_reason {
    reading_state state = reading_state::absent;
    absence why = absence::not_recorded;
};
std::optional<absent_reason> reason_of(const fhir_code& reason);

/// The level of responsiveness that an answer says.
std::optional<responsiveness_level> level_of(const fhir_code& answer);

/// The points of a part of the coma score that an answer says.
std::optional<int> points_of(const fhir_code& answer, sign_id part);

/// How a pulse or a pressure was obtained, by the code of its method.
method method_of(const fhir_code& how, sign_id sign);

/// Whether a code is that of a blood pressure as a whole, whose halves are its components.
bool is_whole_pressure(std::string_view loinc);

}  // namespace vitalproof::read
