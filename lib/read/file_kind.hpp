// Whether a file's first bytes are text at all.
// Used before a file is read as delimited text. Promises a remedy for what people really hand in:
// workbooks, archives, scans.
#pragma once

#include "read/columns.hpp"

#include <optional>
#include <string_view>

namespace vitalproof::read {

/// Why these first bytes, unpacked, cannot begin a delimited text; none where they can. An empty
/// file is one of the reasons.
std::optional<file_error> refuse_as_text(std::string_view first_bytes);

}  // namespace vitalproof::read
