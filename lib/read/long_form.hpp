// The long form: one row is one reading, which a column names and another holds.
// Used by understand_header where no column is a vital sign of its own. Promises that columns which
// could equally well name the sign, hold its value or its unit are an error that names them.
#pragma once

#include "read/columns.hpp"

#include <optional>
#include <span>
#include <string_view>

namespace vitalproof::read {

/// Finds the columns of the long form and gives them their roles, where a column names the sign and
/// one holds its value; else changes nothing. `header` is the row that was understood as `seen`.
std::optional<file_error> understand_long_form(std::span<const std::string_view> header,
                                               understanding& seen);

/// A column called "unit" in which no row has a unit of measure holds the crew instead.
void settle_unit_column(understanding& seen, bool holds_units);

}  // namespace vitalproof::read
