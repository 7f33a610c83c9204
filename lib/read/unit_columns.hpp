// The unit of a column whose header names none, from its own first values.
// Used by read_delimited, before any row is handed over. Promises that a unit other than the one
// the sign is held in is taken only where nearly all values can be nothing else, that a stated unit
// is never overruled, and that the choice is said in the column's remark.
#pragma once

#include "read/columns.hpp"
#include "read/tokenizer.hpp"

namespace vitalproof::read {

/// Settles `unit` and the remark of columns of vital signs without a stated unit. `tokens` has just
/// given the header; nothing of it is consumed. At least 20 numbers are needed, 90 % of which lie
/// where the unit checks of the catalogue suspect the other unit.
void settle_units(understanding& columns, tokenizer& tokens, const tokenizer_options& options);

}  // namespace vitalproof::read
