// Example values of a file's columns, for those who check how a header was understood.
// Used by read_delimited where they are asked for. Promises that only what may be echoed of vital
// signs, and what reads as a time, is an example: never an identifier, a crew or free text.
#pragma once

#include "read/columns.hpp"
#include "read/tokenizer.hpp"

#include <cstddef>

namespace vitalproof::read {

/// Gives each column of a sign, pressures, time or date its first distinct values, `most` of them
/// at most, from the rows at hand. `tokens` has just given the header; nothing is consumed.
void gather_examples(understanding& columns, tokenizer& tokens, const tokenizer_options& options,
                     std::size_t most);

}  // namespace vitalproof::read
