// Files of the national EMS data standard (NEMSIS v3.5, EMSDataSet) into care reports.
// Used by the audit. Promises one report in memory at a time whatever the file's size, that a
// broken report is named and costs no other, and that every group of vital signs is accounted for.
#pragma once

#include "read/delimited.hpp"
#include "read/halved_reading.hpp"
#include "read/xml_splitter.hpp"

#include <string_view>

namespace vitalproof::read {

/// Reads a source to its end; gzip is unpacked, UTF-16 told by its bytes. A row is a group of vital
/// signs: examined where it says a sign or why there is none, other where it says neither, unread
/// in a report that cannot be read. Prefixes of names do not count, nor do several Headers.
///
/// A document type is refused: no entity but XML's own five is ever expanded.
///
/// With `halves`, that does the work, and gives the sink.
delimited_outcome read_nemsis(byte_source& source, std::string_view file_name,
                              const delimited_options& options, sink& into,
                              const xml_bounds& bounds = {}, half_runner* halves = nullptr);

}  // namespace vitalproof::read
