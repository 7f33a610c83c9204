#pragma once

namespace bench {

/// The catalogue over columns beside the same checks as branches, at several shares of missing
/// values; prints millions of rows a second. Throws std::runtime_error when the two disagree.
void run_column_bench();

}  // namespace bench
