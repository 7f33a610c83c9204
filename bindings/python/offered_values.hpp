// Values that findings give for a reading, as if it had been meant in another unit.
// Used where a frame is cleaned. Promises what the finding's own evidence says, to the last digit
// of the sign's conversion.
#pragma once

#include "table.hpp"

#include <cstddef>
#include <vector>

namespace vitalproof::python {

/// A value that a finding gives for a reading, as if it had been meant in another unit.
struct offered_value {
    std::size_t row;
    std::size_t check;
    sign_id sign;
    double value;  ///< in the unit the sign is held in
};

/// What the findings of these checks offer, in the order of the record path.
std::vector<offered_value> offered_values(const table& from, const limits& in_force);

}  // namespace vitalproof::python
