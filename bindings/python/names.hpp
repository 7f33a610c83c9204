// Names that a caller gives, looked up, and an error that suggests the nearest where there is none.
// Used by the bindings.
#pragma once

#include "read/charted_unit.hpp"
#include "read/suggest.hpp"
#include <vitalproof/facts.hpp>
#include <vitalproof/signs.hpp>

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::python {

inline sign_id sign_named(std::string_view name) {
    std::vector<std::string> known;
    for (const sign_info& sign : sign_table) {
        if (sign.name == name) {
            return sign.id;
        }
        known.emplace_back(sign.name);
    }
    throw std::invalid_argument("there is no vital sign \"" + std::string(name) + "\"." +
                                read::suggestion(name, known));
}

inline fact fact_named(std::string_view name) {
    std::vector<std::string> known;
    for (std::size_t i = 0; i < fact_count; ++i) {
        if (fact_names[i] == name) {
            return static_cast<fact>(i);
        }
        known.emplace_back(fact_names[i]);
    }
    throw std::invalid_argument("nothing is known as \"" + std::string(name) + "\"." +
                                read::suggestion(name, known));
}

/// A unit the sign may be charted in.
inline read::charted_unit unit_of_sign(sign_id sign, std::string_view name) {
    const auto unit = read::unit_named(name);
    if (!unit || !read::is_unit_of(sign, *unit)) {
        throw std::invalid_argument("\"" + std::string(name) + "\" is no unit of " +
                                    std::string(describe(sign).label) + ": give " +
                                    read::units_of(sign));
    }
    return *unit;
}

}  // namespace vitalproof::python
