// Whether the first values of a column are in the unit its header states or, where it states none,
// in the one the sign is held in.
// Used by read_delimited, before any row is handed over. Promises that another unit is taken only
// where nearly all values can hardly be anything else and no unit is stated; that a stated unit is
// never overruled, but its doubt told; and that either is said in the column's remark.
#pragma once

#include "read/cell.hpp"
#include "read/columns.hpp"
#include "read/tokenizer.hpp"
#include <vitalproof/signs.hpp>

#include <optional>
#include <string>
#include <string_view>

namespace vitalproof::read {

/// The unit that numbers of a sign are written in by mistake for another.
struct other_unit {
    charted_unit unit;
    /// Whether a value that was read as in `stated`, and is given in the held unit, fits this one:
    /// within the limits of the catalogue's unit checks; where they have none, not believable as
    /// stated and believable as the bare number. These are the default limits, so that a file is
    /// understood the same way whatever limits it is audited by.
    bool (*fits)(sign_id sign, charted_unit stated, real held);
};

/// None where the unit cannot be mistaken, or values do not tell.
std::optional<other_unit> other_unit_of(sign_id sign, charted_unit stated);

/// The number of a cell in the held unit, where it is no more than one; of a whole pressure its
/// systolic.
std::optional<double> held_number(std::string_view text, const cell_rules& rules,
                                  bool is_whole_pressure);

/// That values are read in a unit that nobody states, since they can hardly be in another.
std::string read_as_fitting(charted_unit fits, const checks::unit_column::counts& counts);

/// Settles a column whose numbers nearly all fit another unit: it is read so where none is stated,
/// doubted where one is, and either is said in its remark.
void settle_unit(column& as, charted_unit fits, const checks::unit_column::counts& counts);

/// Settles `unit`, `doubt` and the remark of columns of vital signs. `tokens` has just given the
/// header; nothing of it is consumed. checks::unit_column says how many numbers it takes. Columns
/// of several sets a row that state the same unit of one sign are looked at as one.
void settle_units(understanding& columns, tokenizer& tokens, const tokenizer_options& options);

}  // namespace vitalproof::read
