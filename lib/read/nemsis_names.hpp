// The names of the national EMS data standard that its reader knows, as numbers.
// Used by the parts of the standard's reader. Promises that a name is compared but once, and that
// one which is not listed does not compile.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace vitalproof::read::nemsis {

/// The place of a name in the list below. No enumeration: a file's names beside those in the list
/// would have to stand there too.
using name_id = std::uint8_t;
inline constexpr name_id other_name = 255;

/// In the order of their letters.
inline constexpr std::array<std::string_view, 83> known_names{
    "eAirway",
    "eAirway.02",
    "eAirway.04",
    "eAirway.10",
    "eAirway.AirwayGroup",
    "eAirway.ConfirmationGroup",
    "eArrest",
    "eArrest.01",
    "eArrest.03",
    "eArrest.12",
    "eArrest.14",
    "eArrest.15",
    "eArrest.16",
    "eArrest.18",
    "eDisposition",
    "eDisposition.27",
    "eDisposition.28",
    "eDisposition.30",
    "eExam",
    "eExam.01",
    "eExam.02",
    "eHistory",
    "eHistory.08",
    "eHistory.18",
    "eMedications",
    "eMedications.01",
    "eMedications.02",
    "eMedications.03",
    "ePatient",
    "ePatient.15",
    "ePatient.16",
    "eProcedures",
    "eProcedures.01",
    "eProcedures.02",
    "eProcedures.03",
    "eProcedures.06",
    "eRecord",
    "eRecord.01",
    "eResponse",
    "eResponse.03",
    "eResponse.05",
    "eResponse.13",
    "eResponse.14",
    "eSituation",
    "eSituation.02",
    "eSituation.09",
    "eSituation.11",
    "eSituation.12",
    "eSituation.18",
    "eTimes",
    "eTimes.03",
    "eTimes.05",
    "eTimes.06",
    "eTimes.07",
    "eTimes.09",
    "eTimes.11",
    "eTimes.12",
    "eTimes.13",
    "eVitals",
    "eVitals.01",
    "eVitals.02",
    "eVitals.03",
    "eVitals.06",
    "eVitals.07",
    "eVitals.08",
    "eVitals.09",
    "eVitals.10",
    "eVitals.11",
    "eVitals.12",
    "eVitals.13",
    "eVitals.14",
    "eVitals.15",
    "eVitals.16",
    "eVitals.18",
    "eVitals.19",
    "eVitals.20",
    "eVitals.21",
    "eVitals.22",
    "eVitals.23",
    "eVitals.24",
    "eVitals.26",
    "eVitals.27",
    "eVitals.VitalGroup",
};
static_assert(std::ranges::is_sorted(known_names));

/// A name without a prefix, as a file has it.
constexpr name_id id_of(std::string_view name) {
    const auto found = std::ranges::lower_bound(known_names, name);
    return found != known_names.end() && *found == name
               ? static_cast<name_id>(found - known_names.begin())
               : other_name;
}

/// A name that the reader asks for.
consteval name_id operator""_name(const char* name, std::size_t length) {
    const name_id id = id_of({name, length});
    return id != other_name ? id : throw "this name is not listed";
}

}  // namespace vitalproof::read::nemsis
