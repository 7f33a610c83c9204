// The catalogue as a loop over rows with a branch for every question: what one would write without
// the columns' kernel, and what the benchmark compares that kernel with.
#pragma once

#include <vitalproof/catalogue.hpp>
#include <vitalproof/columns.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace bench {

using sign_columns = std::array<std::vector<double>, vitalproof::sign_count>;

struct counts_by_check {
    std::array<std::uint64_t, vitalproof::check_count> fired{};
    /// Depends on which row fired which check, so that equal counts in other rows do not pass.
    std::uint64_t places = 0;

    void add(std::size_t row, std::size_t check) {
        ++fired[check];
        places += (row + 1) * (2 * check + 1);
    }
    friend bool operator==(const counts_by_check&, const counts_by_check&) = default;
};

/// Row by row, check by check: stops at the first sign that is needed and missing.
counts_by_check count_with_branches(const sign_columns& columns,
                                    const vitalproof::limits& in_force);

}  // namespace bench
