// What a file is by its first bytes, and whether it is text at all.
// Used before a file is read. Promises a remedy for what people really hand in:
// workbooks, archives, scans.
#pragma once

#include "read/columns.hpp"

#include <cstdint>
#include <optional>
#include <string_view>

namespace vitalproof::read {

/// Why these first bytes, unpacked, cannot begin a delimited text; none where they can. An empty
/// file is one of the reasons.
std::optional<file_error> refuse_as_text(std::string_view first_bytes);

enum class file_kind : std::uint8_t { delimited, fhir, xml };

/// What reads a file that begins so, packed with gzip or not: a brace is FHIR's JSON, an angle
/// bracket XML.
file_kind kind_of(std::string_view first_bytes);

}  // namespace vitalproof::read
