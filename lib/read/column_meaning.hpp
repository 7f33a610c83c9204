// What the name of a column says by itself, or a mapping in its place, before columns are weighed
// against each other.
// Used by understand_header and, for the names in its rows, by the long form. Promises that a unit
// stands behind a name or in brackets, and that a name which is none of ours is ignored.
#pragma once

#include "read/column_mapping.hpp"
#include "read/columns.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace vitalproof::read {

/// A column by its name alone.
struct understood {
    column as{};
    int rank = 0;               ///< among several columns of one role the lowest is taken
    bool heart_rate = false;    ///< "HR": a pulse by itself, the ECG rate beside a pulse
    bool set_said = false;      ///< a mapping says of which set it is
    bool foreign_unit = false;  ///< a unit that is not one of the sign's, as `unit_text` has it
    std::string unit_text{};
};

/// By its name. `may_be_numbered`: where it is none of ours, whether it is without its number, such
/// as "Vitals 2 - SBP".
understood understand_column(std::size_t index, std::string_view header, bool may_be_numbered);

/// By what a mapping says of it, whatever its name.
understood understand_mapped(std::size_t index, std::string_view header, const mapped_column& said);

/// A vital sign by its name, as a header or a row of the long form has it.
struct named_sign {
    sign_id sign = sign_id::systolic;
    std::optional<charted_unit> unit{};  ///< stated in the name; not always one of the sign's
    bool heart_rate = false;             ///< "HR": a pulse by itself, the ECG rate beside a pulse
    bool pressures = false;              ///< "BP": a whole blood pressure, and `sign` its systolic
};
std::optional<named_sign> sign_called(std::string_view name);

}  // namespace vitalproof::read
