// What was probably meant, as JSON.
// Used by the writer of findings.jsonl. Promises the values in the units signs are held in, null
// for a field that was meant to stay empty, and the same words as the table has.
#pragma once

#include "write/text_block.hpp"
#include "write/worded.hpp"

namespace vitalproof::write {

/// Appends the array of a finding's explanations.
void append_perhaps(text_block& out, const explanations& all, const worded& in_words);

}  // namespace vitalproof::write
