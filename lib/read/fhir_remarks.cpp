#include "read/fhir_remarks.hpp"

#include "read/text.hpp"

#include <algorithm>

namespace vitalproof::read {

namespace {

constexpr std::size_t most_codes = 64;
constexpr std::size_t most_shown = 12;

constexpr std::uint32_t bit_of(sign_id sign) { return 1U << index_of(sign); }

std::string counted(std::uint64_t number, std::string_view what) {
    return std::to_string(number) + ' ' + std::string(what) + (number == 1 ? "" : "s");
}

std::string signs_in_held_units(std::uint32_t signs) {
    std::string list;
    for (const sign_info& sign : sign_table) {
        if ((signs & bit_of(sign.id)) != 0) {
            list += (list.empty() ? "" : ", ") + std::string(sign.label) + " in " +
                    std::string(symbol_of(held_unit(sign.id)));
        }
    }
    return list;
}

std::string code_list(const fhir_remarks& remarks) {
    std::string list;
    std::uint64_t more = remarks.other_unknown_codes;
    for (std::size_t i = 0; i < remarks.unknown_codes.size(); ++i) {
        const counted_code& one = remarks.unknown_codes[i];
        if (i < most_shown) {
            list += (list.empty() ? "" : ", ") + one.code + " (" + std::to_string(one.count) + ")";
        } else {
            more += one.count;
        }
    }
    return more == 0 ? list : list + ", and others (" + std::to_string(more) + ")";
}

}  // namespace

void fhir_remarks::sign_seen(std::string_view code, sign_id sign, std::optional<charted_unit> unit,
                             understanding& columns) {
    seen |= bit_of(sign);
    const auto has_name = [code](const named_measure& m) { return m.name == code; };
    if (std::ranges::none_of(columns.measures, has_name)) {
        columns.measures.push_back({std::string(code), sign, unit});  // of a code we know: few
    }
}

void fhir_remarks::unknown_code(std::string_view code) {
    const std::string shown = code.empty() ? "none" : charted_text(code).display();
    const auto known = std::ranges::find(unknown_codes, shown, &counted_code::code);
    if (known != unknown_codes.end()) {
        ++known->count;
    } else if (unknown_codes.size() < most_codes) {
        unknown_codes.push_back({shown, 1});
    } else {
        ++other_unknown_codes;
    }
}

void fhir_remarks::say(delimited_outcome& outcome) const {
    auto& said = outcome.columns.assumptions;
    const auto say_if = [&said](std::uint64_t count, std::string_view what, std::string_view then) {
        if (count != 0) {
            said.push_back(counted(count, what) + std::string(then));
        }
    };
    said.emplace_back("Read as FHIR: a row is a resource, a report an encounter");
    say_if(without_encounter, "Observation",
           " without an encounter: those of one subject and time are a report of their own");
    say_if(withdrawn, "Observation", " entered in error or cancelled: not examined");
    say_if(heart_as_pulse, "heart rate",
           " in reports that do not name the pulse: read as a pulse, by which method is not said");
    say_if(heart_as_ecg, "heart rate", " in reports that name the pulse: read as the ECG rate");
    if (unit_assumed != 0) {
        said.push_back("Unit not stated, assumed: " + signs_in_held_units(unit_assumed));
    }
    say_if(unit_by_name, "value", " with a unit by its name alone, without its UCUM code");
    if (unusable_units.count != 0) {
        said.push_back("Values in a unit that is none of their sign's, unreadable: " +
                       std::to_string(unusable_units.count) + ", first in resource " +
                       std::to_string(unusable_units.first_line));
    }
    say_if(value_and_reason, "value", " with a reason why there is none: the value was used");
    if (!unknown_codes.empty()) {
        said.push_back("Codes not read: " + code_list(*this));
    }
    for (const sign_info& sign : sign_table) {
        if ((seen & bit_of(sign.id)) == 0) {
            outcome.columns.signs_not_carried.push_back(sign.id);
        }
    }
    outcome.unknown_codes = unknown_codes;
    if (other_unknown_codes != 0) {
        outcome.unknown_codes.push_back({"others", other_unknown_codes});
    }
}

}  // namespace vitalproof::read
