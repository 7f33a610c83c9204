// Small helpers for the objects of a parsed FHIR resource.
// Used by read_fhir's parts. Promises that a member of another type than expected is none.
#pragma once

#include "read/fhir_codes.hpp"

#include <simdjson.h>

#include <string_view>

namespace vitalproof::read {

using json_object = simdjson::dom::object;
using json_element = simdjson::dom::element;

inline std::string_view text_member(const json_object& of, std::string_view name) {
    std::string_view text;
    return of[name].get(text) == simdjson::SUCCESS ? text : std::string_view();
}

/// Whether there is an object of that name, given to `into`.
inline bool object_member(const json_object& of, std::string_view name, json_object& into) {
    return of[name].get(into) == simdjson::SUCCESS;
}

/// Calls `use(object, index)` for every object of the array of that name.
template <class Use>
void for_each_object(const json_object& of, std::string_view name, Use&& use) {
    simdjson::dom::array list;
    if (of[name].get(list) != simdjson::SUCCESS) {
        return;
    }
    std::size_t index = 0;
    for (const json_element one : list) {
        json_object object;
        if (one.get(object) == simdjson::SUCCESS) {
            use(object, index);
        }
        ++index;
    }
}

/// Calls `use(code)` for every coding of a CodeableConcept.
template <class Use>
void for_each_coding(const json_object& concept_of, Use&& use) {
    for_each_object(concept_of, "coding", [&](const json_object& coding, std::size_t) {
        use(fhir_code{text_member(coding, "system"), text_member(coding, "code")}, coding);
    });
}

}  // namespace vitalproof::read
