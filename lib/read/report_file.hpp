// Care reports in whatever form a file holds them.
// Used by the program. Promises that the form is decided once, by the first bytes, never by a name.
#pragma once

#include "read/byte_source.hpp"
#include "read/delimited.hpp"
#include "read/halved_reading.hpp"

#include <atomic>
#include <string>
#include <string_view>

namespace vitalproof::read {

/// Reads a source as delimited text, FHIR or the national EMS data standard, whichever
/// it is; see read_delimited, read_fhir and read_nemsis.
///
/// Where its form is read in halves and `halves` is given, that does the work instead of `into`.
delimited_outcome read_reports(byte_source& source, std::string_view file_name,
                               const delimited_options& options, sink& into,
                               half_runner* halves = nullptr);

/// The same for a file by its path; one that cannot be opened is an error in the outcome, and so is
/// a request to stop.
delimited_outcome read_report_file(const std::string& path, const delimited_options& options,
                                   sink& into, const std::atomic<bool>* stop = nullptr);

}  // namespace vitalproof::read
