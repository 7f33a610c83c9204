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

/// A value in the held unit as one in another of the sign's: the inverse of read::to_held.
inline double from_held(sign_id sign, read::charted_unit unit, double held) {
    if (unit == read::held_unit(sign)) {
        return held;
    }
    switch (unit) {
        case read::charted_unit::kilopascal:
            return to<units::kilopascal>(held * mmHg).value();
        case read::charted_unit::fraction:
            return to<units::fraction>(held * percent).value();
        case read::charted_unit::mmol_per_l:
            return to_mmol_per_l(held * mg_per_dL).value();
        case read::charted_unit::fahrenheit:
            return to<units::fahrenheit>(held * degC).value();
        case read::charted_unit::percent:
            return held / read::to_held(sign, unit, 1);
        default:
            return held;
    }
}

}  // namespace vitalproof::python
