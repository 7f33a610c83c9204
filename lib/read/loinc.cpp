#include "read/loinc.hpp"

#include "read/text.hpp"

#include <algorithm>
#include <array>

namespace vitalproof::read {

namespace {

// Codes beside the one that each sign carries in signs.hpp. Their names stand behind them, from
// memory but for 19889-5, 41653-7 and 2339-0, which published FHIR examples show with these.
constexpr std::array other_codes{
    coded_sign{"8867-4", sign_id::pulse, {}, true},  // Heart rate
    coded_sign{"8889-8", sign_id::pulse},            // Heart rate by Pulse oximetry
    coded_sign{"2708-6", sign_id::saturation},       // Oxygen saturation in Arterial blood
    coded_sign{"2339-0", sign_id::glucose},          // Glucose [Mass/volume] in Blood
    // Glucose [Moles/volume] in Blood
    coded_sign{"15074-8", sign_id::glucose, charted_unit::mmol_per_l},
    // Carbon dioxide [Partial pressure] in Exhaled gas --at end expiration
    coded_sign{"19889-5", sign_id::exhaled_co2},
    coded_sign{"76215-3", sign_id::systolic},       // Invasive Systolic blood pressure
    coded_sign{"76213-8", sign_id::diastolic},      // Invasive Diastolic blood pressure
    coded_sign{"76214-6", sign_id::mean_pressure},  // Invasive Mean blood pressure
};

struct coded_method {
    std::string_view code;
    method how;
};

// From memory, as their names are.
constexpr std::array coded_methods{
    coded_method{"8893-0", method::felt},         // Heart rate Peripheral artery by Palpation
    coded_method{"8889-8", method::by_oximeter},  // Heart rate by Pulse oximetry
    coded_method{"76282-3", method::by_ecg},      // Heart rate.beat-to-beat by EKG
    coded_method{"76215-3", method::arterial},   coded_method{"76213-8", method::arterial},
    coded_method{"76214-6", method::arterial},
};

std::string_view without_system(std::string_view text) {
    constexpr std::string_view system = "loinc";
    text = trimmed_wide(text);
    if (same_word(text.substr(0, system.size()), system)) {
        text.remove_prefix(system.size());
        text.remove_prefix(std::min(text.find_first_not_of(" :|-_"), text.size()));
    }
    return text;
}

}  // namespace

std::optional<coded_sign> sign_of_loinc(std::string_view text) {
    const std::string_view code = without_system(text);
    for (const coded_sign& known : other_codes) {
        if (known.code == code) {
            return known;
        }
    }
    const auto sign = std::ranges::find(sign_table, code, &sign_info::loinc);
    return sign == sign_table.end() ? std::nullopt
                                    : std::optional(coded_sign{sign->loinc, sign->id});
}

method method_of_loinc(std::string_view code) {
    const auto known = std::ranges::find(coded_methods, code, &coded_method::code);
    return known == coded_methods.end() ? method::unknown : known->how;
}

}  // namespace vitalproof::read
