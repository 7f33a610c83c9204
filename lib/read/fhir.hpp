// FHIR R4 resources in JSON into care reports: Observations of vital signs, alone, one a line, or
// in Bundles.
// Used by the audit. Promises that every resource is accounted for (read = examined + unread +
// other), that a broken one never stops the rest, bounded memory, and that nothing of a patient is
// handed on but an age.
#pragma once

#include "read/byte_source.hpp"
#include "read/delimited.hpp"
#include "read/json_splitter.hpp"

#include <string_view>

namespace vitalproof::read {

/// Reads a source to its end; gzip is unpacked. A row is a resource, its line the so many-th. An
/// Observation that says a vital sign, or why there is none, is examined; any other resource, one
/// entered in error and one of other codes is other. A Bundle is no row: its resources are.
///
/// A resource that is no JSON, has a member twice, is larger or more deeply nested than the bounds
/// allow, or has no resourceType is unread. A Patient that stands before the Observations about it
/// gives them an age, and no more.
delimited_outcome read_fhir(byte_source& source, std::string_view file_name,
                            const delimited_options& options, sink& into,
                            const json_bounds& bounds = {});

}  // namespace vitalproof::read
