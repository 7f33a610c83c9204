// What an Observation or one of its components says of a vital sign.
// Used by fhir_observation. Promises that a reason for absence, a comparator and a value of another
// kind than the sign's are never mistaken for a number.
#pragma once

#include "read/cell.hpp"
#include "read/fhir_json.hpp"
#include "read/fhir_remarks.hpp"
#include "read/loinc.hpp"

#include <cstdint>
#include <optional>

namespace vitalproof::read {

/// The value[x] of an Observation or component as what its code says it is, or the reason why there
/// is none. None where there is neither.
///
/// A Quantity is a number in its unit's UCUM code, else in the unit of its name, else in the unit
/// the sign is held in, which is remarked. A string is read as a cell of a table is; an answer by
/// its code, its ordinal value, or its words. Anything else is unreadable.
std::optional<cell_value> read_fhir_value(const json_object& holder, const coded_sign& code,
                                          const co2_percent_basis& co2, std::uint64_t resource,
                                          fhir_remarks& remarks);

/// The reason that `holder` gives for an absence; none where it gives none.
std::optional<cell_value> read_absent_reason(const json_object& holder, fhir_remarks& remarks);

}  // namespace vitalproof::read
