// Mappings as TOML.
// Used by the program. Promises that an unknown word, a unit that is none of a sign's and two
// columns said to be the same are errors with their line and a suggestion.
#pragma once

#include "read/column_mapping.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read {

/// The schema this version reads and writes.
inline constexpr int mapping_schema = 1;

struct mapping_outcome {
    column_mapping mapping{};
    std::vector<std::string> errors{};  ///< then the mapping is not to be used
};

/// Reads a mapping's text; `file` is what messages call it.
mapping_outcome parse_mapping(std::string_view text, const std::string& file);

/// The word a mapping has for a role: `report`; `ignored`. Empty for signs and facts, which go by
/// their own names.
std::string_view mapping_word(column_role role);

}  // namespace vitalproof::read
