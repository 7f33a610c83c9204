// What any way through columns costs at least: each value read once, as a float, in blocks.
#pragma once

#include "branches.hpp"

namespace bench {

void touch(const sign_columns& columns);

}  // namespace bench
