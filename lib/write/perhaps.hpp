// What was probably meant, as JSON.
// Used by the writer of findings.jsonl. Promises the values in the units signs are held in, null
// for a field that was meant to stay empty, and the same words as the table has.
#pragma once

#include <vitalproof/explain/slip.hpp>

#include <string>

namespace vitalproof::write {

/// Appends the array of a finding's explanations.
void append_perhaps(std::string& out, const explanations& all);

}  // namespace vitalproof::write
