#include "read/fhir_codes.hpp"

#include <algorithm>
#include <array>
#include <string>

namespace vitalproof::read {

namespace {

template <class Code, std::size_t N>
const Code* find_code(const std::array<Code, N>& list, std::string_view code) {
    const auto found = std::ranges::find(list, code, &Code::code);
    return found == list.end() ? nullptr : &*found;
}

struct ucum_unit {
    std::string_view code;
    charted_unit unit;
};

// UCUM, case sensitive. HL7's value set ucum-vitals-common has %, Cel, [degF], mm[Hg] and /min; the
// others are UCUM's other ways to write a unit that the signs are charted in.
constexpr std::array ucum_units = std::to_array<ucum_unit>({
    {"mm[Hg]", charted_unit::mmhg},
    {"kPa", charted_unit::kilopascal},
    {"/min", charted_unit::per_minute},
    {"1/min", charted_unit::per_minute},
    {"min-1", charted_unit::per_minute},
    {"%", charted_unit::percent},
    {"mg/dL", charted_unit::mg_per_dl},
    {"mg/dl", charted_unit::mg_per_dl},
    {"mmol/L", charted_unit::mmol_per_l},
    {"mmol/l", charted_unit::mmol_per_l},
    {"Cel", charted_unit::celsius},
    {"[degF]", charted_unit::fahrenheit},
});

struct coded_reason {
    std::string_view code;
    absent_reason means;
};

constexpr absent_reason absent(absence why) { return {reading_state::absent, why}; }
constexpr absent_reason charted_otherwise{reading_state::unreadable, absence::blank};

// HL7's code system data-absent-reason (R4), whose definitions decide. A system that cannot hold a
// value and one that hides it have no place for it; a value that stands in the narrative alone, or
// that the arithmetic could not represent, is charted and cannot be read.
constexpr std::array coded_reasons = std::to_array<coded_reason>({
    {"unknown", absent(absence::not_recorded)},
    {"asked-unknown", absent(absence::not_recorded)},
    {"temp-unknown", absent(absence::not_recorded)},
    {"not-asked", absent(absence::not_recorded)},
    {"not-performed", absent(absence::not_recorded)},
    {"asked-declined", absent(absence::refused)},
    {"error", absent(absence::unable)},
    {"not-applicable", absent(absence::not_applicable)},
    {"not-permitted", absent(absence::not_applicable)},
    {"masked", absent(absence::not_carried)},
    {"unsupported", absent(absence::not_carried)},
    {"as-text", charted_otherwise},
    {"not-a-number", charted_otherwise},
    {"negative-infinity", charted_otherwise},
    {"positive-infinity", charted_otherwise},
});

struct coded_level {
    std::string_view code;
    responsiveness_level level;
};

// LOINC's answers to 67775-7, as public exchange profiles list them (with LA6560-2, confused, which
// is none of the four levels); SNOMED CT as IHE's mobile paramedicine summary of care lists it; and
// the codes of eVitals.26 in the national EMS data standard.
constexpr std::array coded_levels = std::to_array<coded_level>({
    {"LA9340-6", responsiveness_level::alert},
    {"LA17108-4", responsiveness_level::verbal},
    {"LA17107-6", responsiveness_level::painful},
    {"LA9343-0", responsiveness_level::unresponsive},
    {"248234008", responsiveness_level::alert},
    {"255373000", responsiveness_level::verbal},
    {"450847001", responsiveness_level::painful},
    {"422768004", responsiveness_level::unresponsive},
    {"3326001", responsiveness_level::alert},
    {"3326003", responsiveness_level::verbal},
    {"3326005", responsiveness_level::painful},
    {"3326007", responsiveness_level::unresponsive},
});

struct coded_points {
    std::string_view code;
    sign_id part;
    int points;
};

// LOINC's answer lists LL355-9 (eye opening), LL356-7 (verbal) and LL357-5 (motor), as HL7's
// example questionnaire of the coma score holds them, from none to best.
constexpr std::array answers = std::to_array<coded_points>({
    {"LA6553-7", sign_id::coma_eye, 1},
    {"LA6554-5", sign_id::coma_eye, 2},
    {"LA6555-2", sign_id::coma_eye, 3},
    {"LA6556-0", sign_id::coma_eye, 4},
    {"LA6557-8", sign_id::coma_verbal, 1},
    {"LA6558-6", sign_id::coma_verbal, 2},
    {"LA6559-4", sign_id::coma_verbal, 3},
    {"LA6560-2", sign_id::coma_verbal, 4},
    {"LA6561-0", sign_id::coma_verbal, 5},
    {"LA6562-8", sign_id::coma_motor, 1},
    {"LA6563-6", sign_id::coma_motor, 2},
    {"LA6564-4", sign_id::coma_motor, 3},
    {"LA6565-1", sign_id::coma_motor, 4},
    {"LA6566-9", sign_id::coma_motor, 5},
    {"LA6567-7", sign_id::coma_motor, 6},
});

constexpr std::string_view palpation = "113011001";    // SNOMED CT, from memory
constexpr std::string_view auscultation = "37931006";  // SNOMED CT, from memory

}  // namespace

bool is_loinc(std::string_view system) {
    constexpr std::array<std::string_view, 3> names{"http://loinc.org", "https://loinc.org",
                                                    "urn:oid:2.16.840.1.113883.6.1"};
    return std::ranges::find(names, system) != names.end();
}

bool is_ucum(std::string_view system) {
    constexpr std::array<std::string_view, 3> names{
        "http://unitsofmeasure.org", "https://unitsofmeasure.org", "urn:oid:2.16.840.1.113883.6.8"};
    return std::ranges::find(names, system) != names.end();
}

std::optional<charted_unit> unit_of_ucum(std::string_view code, sign_id sign) {
    std::string bare;
    bool inside = false;
    for (const char c : code) {
        inside = inside || c == '{';
        if (!inside) {
            bare += c;
        }
        inside = inside && c != '}';
    }
    if ((bare.empty() && !code.empty()) || bare == "1") {
        return sign == sign_id::saturation ? charted_unit::fraction : charted_unit::points;
    }
    const ucum_unit* known = find_code(ucum_units, bare);
    return known == nullptr ? std::nullopt : std::optional(known->unit);
}

std::optional<absent_reason> reason_of(const fhir_code& reason) {
    const coded_reason* known = reason.system.ends_with("data-absent-reason")
                                    ? find_code(coded_reasons, reason.code)
                                    : nullptr;
    return known == nullptr ? std::nullopt : std::optional(known->means);
}

std::optional<responsiveness_level> level_of(const fhir_code& answer) {
    const coded_level* known = find_code(coded_levels, answer.code);
    return known == nullptr ? std::nullopt : std::optional(known->level);
}

std::optional<int> points_of(const fhir_code& answer, sign_id part) {
    const coded_points* known = is_loinc(answer.system) ? find_code(answers, answer.code) : nullptr;
    return known == nullptr || known->part != part ? std::nullopt : std::optional(known->points);
}

method method_of(const fhir_code& how, sign_id sign) {
    if (how.system != "http://snomed.info/sct") {
        return method::unknown;
    }
    const bool pulse = sign == sign_id::pulse;
    if (how.code == palpation) {
        return pulse ? method::felt : method::palpated;
    }
    return how.code == auscultation && !pulse ? method::cuff_by_ear : method::unknown;
}

bool is_whole_pressure(std::string_view loinc) {
    return loinc == "85354-9" || loinc == "55284-4";  // the latter in HL7's older examples
}

}  // namespace vitalproof::read
