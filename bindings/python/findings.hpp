// The record path over a table or over reports.
// Used by the bindings. Promises the order of the record path, the words of the program, and the
// same findings whatever the threads.
#pragma once

#include "finding_columns.hpp"
#include "table.hpp"

#include <cstddef>
#include <vector>

namespace vitalproof::python {

/// Examines a table by the record path. Without words, what is told in sentences stays empty.
finding_batches examine_table(const table& from, const limits& in_force, bool words,
                              std::size_t threads);

/// Examines reports one after another.
finding_batches examine_reports(std::vector<care_report> reports, const limits& in_force);

}  // namespace vitalproof::python
