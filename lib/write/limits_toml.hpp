// The limits in force as TOML that can be edited and fed back.
// Used by the program. Promises that what is printed reads back to the same limits.
#pragma once

#include "read/limits_file.hpp"

#include <string>

namespace vitalproof::write {

/// Every table with its figures, each with its unit and where it came from.
std::string limits_as_toml(const read::sourced_limits& in_force);

/// A figure as it is written in a limits file: `300 mmHg`, shortest form that reads back.
std::string figure(real value, std::string_view unit);

}  // namespace vitalproof::write
