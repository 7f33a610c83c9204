// The account of an audit, audit.json: what was read, what was found, and what a rerun needs.
// Used by the program. Promises schema 1 and counts that add up.
#pragma once

#include "audit/audit.hpp"
#include "read/delimited.hpp"
#include "read/limits_file.hpp"
#include "write/output.hpp"

#include <string>

namespace vitalproof::write {

/// Writes audit.json into the folder; throws output_error. `as_of` is the time the audit speaks
/// for, in UTC. Holds what a rerun needs beside the inputs: limits, mapping, how times were read.
void write_account(const output_folder& folder, const audit::account& account,
                   const read::sourced_limits& in_force, const read::delimited_options& reading,
                   const std::string& as_of);

/// A hash of every check's code, texts and default limits: tells two versions' catalogues apart.
std::string catalogue_hash();

}  // namespace vitalproof::write
