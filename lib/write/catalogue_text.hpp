// The catalogue in words: a list, one check in full, and the reference page.
// Used by the program and by the test that keeps docs/checks.md fresh. Promises to be derived from
// the checks alone.
#pragma once

#include "read/limits_file.hpp"

#include <cstddef>
#include <string>

namespace vitalproof::write {

/// Every check, a line each: code, what it asks, title, source.
std::string catalogue_list(const read::sourced_limits& in_force);

/// Everything a check says of itself, with its limits in force.
std::string check_in_full(std::size_t check, const read::sourced_limits& in_force);
std::string check_in_full(batch_check check, const read::sourced_limits& in_force);

/// The reference page as Markdown.
std::string reference_page();

}  // namespace vitalproof::write
