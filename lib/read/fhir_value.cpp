#include "read/fhir_value.hpp"

#include "read/responsiveness_words.hpp"

#include <charconv>
#include <string>

namespace vitalproof::read {

namespace {

cell_value unreadable(const charted_text& text) {
    cell_value cell;
    cell.state = reading_state::unreadable;
    cell.charted = text;
    return cell;
}

// A number as text; of a text itself; of anything else its JSON.
std::string as_text(const json_element& value) {
    if (value.is_string()) {
        return std::string(std::string_view(value));
    }
    if (value.is_double()) {
        char digits[32];
        const auto written = std::to_chars(std::begin(digits), std::end(digits), double(value));
        return {std::begin(digits), written.ptr};
    }
    return simdjson::minify(value);
}

// HL7's extensions that give the answers of a score their points: R4's, and R5's new name for it.
bool is_weight(std::string_view url) {
    return url == "http://hl7.org/fhir/StructureDefinition/ordinalValue" ||
           url == "http://hl7.org/fhir/StructureDefinition/itemWeight";
}

class value_reader {
public:
    value_reader(const coded_sign& code, const co2_percent_basis& co2, std::uint64_t resource,
                 fhir_remarks& remarks)
        : code_(code), resource_(resource), remarks_(remarks) {
        rules_.sign = code.sign;
        rules_.unit = code.unit.value_or(held_unit(code.sign));
        rules_.unit_stated = code.unit.has_value();
        rules_.co2 = co2;
    }

    std::optional<cell_value> quantity(const json_object& value) {
        json_element number;
        if (value["value"].get(number) != simdjson::SUCCESS) {
            return std::nullopt;
        }
        const std::string text = as_text(number);
        const std::string_view comparator = text_member(value, "comparator");
        const std::string as_charted = std::string(comparator) + text;
        if (!number.is_number()) {
            return unreadable(charted_text(as_charted));
        }
        if (!settle_unit(value)) {
            remarks_.unusable_units.add(resource_);
            return unreadable(value_in_unit(as_charted, unit_text_));
        }
        if (comparator.empty()) {
            return read(text);
        }
        // `<=` and `>=` too say no more than that the value lies beyond.
        cell_value cell = read(std::string(comparator.substr(0, 1)) + text);
        cell.charted = charted_text(as_charted);
        return cell;
    }

    cell_value text(std::string_view text) { return read(text); }

    cell_value answer(const json_object& concept_of) {
        std::optional<cell_value> cell;
        std::string_view words = text_member(concept_of, "text");
        for_each_coding(concept_of, [&](const fhir_code& code, const json_object& coding) {
            cell = cell ? cell : answer_of(code, coding);
            words = words.empty() ? text_member(coding, "display") : words;
        });
        if (cell) {
            return *cell;
        }
        // A score in words, such as "5 (localizes)", is more than its number: not read.
        const bool level = code_.sign == sign_id::responsiveness && !words.empty();
        return level ? read(words) : unreadable(charted_text(words));
    }

private:
    cell_value read(std::string_view text) {
        cell_value cell = read_cell(text, rules_);
        if (cell.state == reading_state::number && !rules_.unit_stated &&
            has_other_units(code_.sign)) {
            remarks_.unit_assumed |= 1U << index_of(code_.sign);
        }
        return cell;
    }

    // Which unit the value is in. False where it is stated and none of the sign's.
    bool settle_unit(const json_object& value) {
        const std::string_view code = text_member(value, "code");
        const std::string_view name = text_member(value, "unit");
        const bool by_code = !code.empty() && is_ucum(text_member(value, "system"));
        unit_text_ = by_code || name.empty() ? code : name;
        if (unit_text_.empty()) {
            return true;
        }
        const auto stated = by_code ? unit_of_ucum(code, code_.sign) : unit_named(unit_text_);
        remarks_.unit_by_name += by_code ? 0 : 1;
        unit_text_ = stated ? symbol_of(*stated) : unit_text_;
        if (!stated || !is_unit_of(code_.sign, *stated) || (code_.unit && *code_.unit != *stated)) {
            return false;
        }
        rules_.unit = *stated;
        rules_.unit_stated = true;
        return true;
    }

    std::optional<cell_value> answer_of(const fhir_code& code, const json_object& coding) {
        if (code_.sign == sign_id::responsiveness) {
            const auto level =
                code.code.size() == 1 ? level_of_letter(code.code[0]) : level_of(code);
            return level ? std::optional(points(static_cast<int>(*level))) : std::nullopt;
        }
        if (const auto known = points_of(code, code_.sign)) {
            return points(*known);
        }
        std::optional<cell_value> cell;
        for_each_object(coding, "extension", [&](const json_object& more, std::size_t) {
            json_element weight;
            if (is_weight(text_member(more, "url")) &&
                held_unit(code_.sign) == charted_unit::points &&
                more["valueDecimal"].get(weight) == simdjson::SUCCESS && weight.is_number()) {
                cell = read(as_text(weight));
            }
        });
        return cell;
    }

    static cell_value points(int value) {
        cell_value cell;
        cell.state = reading_state::number;
        cell.value = value;
        return cell;
    }

    const coded_sign& code_;
    cell_rules rules_{};
    std::string_view unit_text_{};
    std::uint64_t resource_;
    fhir_remarks& remarks_;
};

// The member value[x], whatever x is.
std::optional<simdjson::dom::key_value_pair> value_member(const json_object& holder) {
    for (const auto member : holder) {
        if (member.key.starts_with("value")) {
            return member;
        }
    }
    return std::nullopt;
}

std::optional<cell_value> value_of_member(const simdjson::dom::key_value_pair& member,
                                          value_reader reader) {
    json_object object;
    const bool is_object = member.value.get(object) == simdjson::SUCCESS;
    if (member.key == "valueQuantity" && is_object) {
        return reader.quantity(object);
    }
    if (member.key == "valueCodeableConcept" && is_object) {
        return reader.answer(object);
    }
    const bool is_text = member.key == "valueString" && member.value.is_string();
    const bool is_whole = member.key == "valueInteger" && member.value.is_number();
    if (is_text || is_whole) {
        return reader.text(as_text(member.value));
    }
    return unreadable(charted_text(as_text(member.value)));
}

}  // namespace

std::optional<cell_value> read_absent_reason(const json_object& holder, fhir_remarks& remarks) {
    json_object given;
    if (!object_member(holder, "dataAbsentReason", given)) {
        return std::nullopt;
    }
    cell_value cell;
    cell.why = absence::not_recorded;  // what an unknown reason still says
    bool known = false;
    std::string_view other;
    for_each_coding(given, [&](const fhir_code& code, const json_object&) {
        if (const auto means = known ? std::nullopt : reason_of(code)) {
            known = true;
            cell.state = means->state;
            cell.why = means->why;
            cell.charted =
                means->state == reading_state::absent ? charted_text() : charted_text(code.code);
        } else {
            other = code.code;
        }
    });
    if (!known) {
        remarks.unknown_code(other);
    }
    return cell;
}

std::optional<cell_value> read_fhir_value(const json_object& holder, const coded_sign& code,
                                          const co2_percent_basis& co2, std::uint64_t resource,
                                          fhir_remarks& remarks) {
    const auto reason = read_absent_reason(holder, remarks);
    const auto member = value_member(holder);
    const auto value = member ? value_of_member(*member, value_reader(code, co2, resource, remarks))
                              : std::nullopt;
    if (value && reason) {
        ++remarks.value_and_reason;
    }
    return value ? value : reason;
}

}  // namespace vitalproof::read
