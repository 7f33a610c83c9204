// The codes of the national EMS data standard that bear on vital signs.
// Used by the standard's reader, and by tables that hold its codes. Promises figures typed from the
// standard's own lists: NEMSIS v3.5.0 and v3.5.1 schemas, and its lists of procedures (SNOMED CT)
// and medications (RxNorm).
#pragma once

#include "read/age_unit.hpp"
#include "read/charted_unit.hpp"
#include <vitalproof/call.hpp>
#include <vitalproof/facts.hpp>
#include <vitalproof/reading.hpp>

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>

namespace vitalproof::read::nemsis {

/// Digits of a code.
inline constexpr std::size_t code_size = 7;

inline constexpr std::string_view yes = "9923003";
inline constexpr std::string_view no = "9923001";
/// Of elements that may be unknown as well.
inline constexpr std::string_view yes_not_unknown = "9922005";

/// Why an element has no value: a "not value" (NV) or a "pertinent negative" (PN). An absence the
/// state does not collect is not carried; a negative of another kind is one not recorded.
absence absence_of(std::string_view not_value, std::string_view negative);

/// The same of one that stands in the place of a value, as tables have them; none for any other
/// text.
std::optional<absence> absence_of_code(std::string_view code);

/// eVitals.08; unknown for a venous line, which is no blood pressure.
method pressure_method(std::string_view code);
/// eVitals.11; unknown for heard, by Doppler and by a monitor that is not said.
method rate_method(std::string_view code);
/// The unit of eVitals.16, by its ETCO2Type.
std::optional<charted_unit> co2_unit(std::string_view code);
/// eVitals.26.
std::optional<responsiveness_level> responsiveness(std::string_view code);
/// What a rhythm of the heart (eVitals.03) or of the pulse (eVitals.13) says can be true:
/// irregular, paced, an arrest. Nothing for most, and for other codes.
facts facts_of_rhythm(std::string_view code);
/// ePatient.16.
std::optional<age_unit> age_unit_of(std::string_view code);

/// eVitals.22: the score stands without interventions, or what limits it.
inline constexpr std::string_view coma_without_interventions = "3322003";
inline constexpr std::string_view coma_intubated = "3322009";
inline constexpr std::string_view coma_paralysed = "3322005";
inline constexpr std::string_view coma_sedated = "3322007";
/// eVitals.15: breathing mechanically assisted.
inline constexpr std::string_view breathing_assisted = "3315005";

/// eArrest.01: whether there was an arrest.
std::optional<bool> is_arrest(std::string_view code);
inline constexpr std::string_view arrest_before_arrival = "3001003";
/// eArrest.12: whether a pulse returned.
std::optional<bool> did_pulse_return(std::string_view code);
/// eArrest.16: resuscitation ended because a pulse returned.
inline constexpr std::string_view ended_by_pulse = "3016011";
/// eArrest.18: expired in the field.
inline constexpr std::string_view expired_in_the_field = "3018003";
/// eArrest.03: chest compressions were begun.
inline constexpr std::string_view compressions_begun = "3003005";
/// eArrest.03: a shock, ventilation or compressions were attempted.
constexpr bool is_resuscitation(std::string_view code) {
    return code == "3003001" || code == "3003003" || code == compressions_begun;
}

/// eDisposition.27, .28, .30 and eResponse.05.
bool is_no_patient(std::string_view unit_disposition);
bool is_refused(std::string_view evaluation_or_transport);
bool is_transported(std::string_view transport);
inline constexpr std::string_view no_transport = "4230013";
inline constexpr std::string_view between_hospitals = "2205005";

/// What a procedure does to what the vital signs can be.
struct procedure {
    std::string_view code;
    bool tube = false;  ///< a tube or supraglottic airway
    bool ventilation = false;
    bool oxygen = false;
    bool compressions = false;
    bool pacing = false;
    bool treatment = false;  ///< changes vital signs
};
/// None for a procedure that changes nothing here.
const procedure* find_procedure(std::string_view code);

struct drug {
    event_kind what = event_kind::treatment;
    bool oxygen = false;
};
/// None for a drug that changes no vital sign within minutes; one that is not listed as such is a
/// treatment.
std::optional<drug> find_drug(std::string_view code);

/// eAirway.04: how a tube was confirmed.
event_kind confirmation(std::string_view code);

/// What a symptom or impression (eSituation.09, .11, .12; ICD-10-CM) makes of the call, as bits by
/// complaint.
std::uint32_t complaints_of(std::string_view icd10);
/// eSituation.09, .11, .12: carbon monoxide or smoke.
bool is_carbon_monoxide(std::string_view icd10);
/// eHistory.08: chronic obstructive lung disease.
bool is_chronic_lung(std::string_view icd10);
/// eHistory.18.
std::optional<bool> is_pregnant(std::string_view code);

/// A surgical history (eHistory.08, ICD-10-CM) that says a ventricular assist device is worn.
inline constexpr std::string_view assist_device_worn = "Z95.811";

}  // namespace vitalproof::read::nemsis
