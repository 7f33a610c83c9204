// The names columns go by.
// Used by understand_header. Promises one place to add a name to; every name here is in lower case
// with letters and digits alone, as header_key() makes them.
#pragma once

#include "read/columns.hpp"
#include <vitalproof/facts.hpp>
#include <vitalproof/signs.hpp>

#include <array>
#include <optional>
#include <string>
#include <string_view>

namespace vitalproof::read {

/// Facts a file may state in a column of yes and no; the others follow from methods and age.
inline constexpr std::array stated_facts{fact::arrest,
                                         fact::compressions,
                                         fact::airway_tube,
                                         fact::ventilated,
                                         fact::oxygen,
                                         fact::paced,
                                         fact::assist_device,
                                         fact::irregular_rhythm,
                                         fact::trained_heart,
                                         fact::exposure,
                                         fact::laboratory_glucose,
                                         fact::carbon_monoxide,
                                         fact::chronic_lung,
                                         fact::pregnant,
                                         fact::sedated,
                                         fact::treated,
                                         fact::airway_attempt,
                                         fact::prior_care};

/// By its name in files; none where it is not among those above.
std::optional<fact> stated_fact(std::string_view name);

/// What a name by itself says of a column.
struct named_column {
    column_role role = column_role::ignored;
    sign_id sign = sign_id::systolic;
    fact known = fact::arrest;
    /// Among several columns of one role the lowest is taken; two equally low are an error.
    int rank = 0;
    /// "HR": a pulse by itself, the ECG rate beside a pulse.
    bool heart_rate = false;
};

/// A header, or the part before its unit, as names are compared: lower-case letters and digits.
std::string header_key(std::string_view text);

/// The column of exactly that name.
std::optional<named_column> column_named(std::string_view key);

/// The unit an age column's name ends in, `years` where it says none; none for anything else.
std::optional<age_unit> age_unit_named(std::string_view key);

}  // namespace vitalproof::read
