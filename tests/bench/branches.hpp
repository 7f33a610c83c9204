// The catalogue as a loop over rows with a branch for every question: what one would write without
// the columns' kernel, and what the benchmark compares that kernel with.
#pragma once

#include <vitalproof/catalogue.hpp>
#include <vitalproof/columns.hpp>

#include <array>
#include <cstddef>
#include <cstdint>

namespace bench {

using sign_columns = std::array<const double*, vitalproof::sign_count>;
using counts_by_check = std::array<std::uint64_t, vitalproof::check_count>;

/// Row by row, check by check: stops at the first sign that is needed and missing. Checks of one
/// set only.
counts_by_check count_with_branches(const sign_columns& columns, std::size_t rows,
                                    const vitalproof::limits& in_force);

}  // namespace bench
