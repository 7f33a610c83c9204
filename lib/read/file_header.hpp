// The header of a delimited file: where it stands, what its columns are, and what was assumed.
// Used by read_delimited before the first row. Promises that whatever was assumed is said.
#pragma once

#include "read/delimited.hpp"
#include "read/text_source.hpp"
#include "read/tokenizer.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace vitalproof::read {

struct file_header {
    std::optional<file_error> error{};
    understanding columns{};
    std::vector<std::string> cells{};
    std::string delimiter{};      ///< its name
    tokenizer_options text{};     ///< with the delimiter of this file
    std::uint64_t first_row = 0;  ///< the line below it
};

/// Reads up to the header's end and looks at the first rows for their units and times; the
/// tokenizer is left in front of them. `zone` may be null.
file_header read_file_header(text_source& text, tokenizer& tokens, const delimited_options& options,
                             const time_zone* zone);

}  // namespace vitalproof::read
