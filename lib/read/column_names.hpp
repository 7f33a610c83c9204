// The names columns go by.
// Used by understand_header. Promises one place to add a name to; every name here is in lower case
// with letters and digits alone, as header_key() makes them.
#pragma once

#include "read/columns.hpp"
#include <vitalproof/facts.hpp>
#include <vitalproof/signs.hpp>

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace vitalproof::read {

/// Facts a file may state, from the first; those behind them follow from methods and age.
inline constexpr std::size_t stated_facts = 15;

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
