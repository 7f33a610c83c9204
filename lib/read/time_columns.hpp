// How the times of a file are written, decided from its first rows before any is handed over.
// Used by read_delimited. Promises that the order of day and month is never guessed: a date that
// can be read one way alone decides for its column, and what was decided, or could not be, is said
// in the column's remark.
#pragma once

#include "read/columns.hpp"
#include "read/time_zone.hpp"
#include "read/tokenizer.hpp"

#include <cstdint>

namespace vitalproof::read {

/// Settles `written`, `written_as` and the remark of the time and date columns. `tokens` has just
/// given the header and stands before `next_line`; nothing of it is consumed. A `stated` order
/// outranks what the rows show. The zone of times without an offset is said where one is given.
void settle_times(understanding& columns, tokenizer& tokens, const tokenizer_options& options,
                  std::uint64_t next_line, day_order stated, const time_zone* zone);

}  // namespace vitalproof::read
