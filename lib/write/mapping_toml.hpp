// How a file was understood, as a mapping to edit and give back.
// Used by `vitalproof columns --as-mapping`. Promises that the same file read with it is understood
// the same way.
#pragma once

#include "read/columns.hpp"

#include <string>

namespace vitalproof::write {

std::string mapping_as_toml(const std::string& file, const read::understanding& columns);

}  // namespace vitalproof::write
