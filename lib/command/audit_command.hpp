// `vitalproof audit`: files in, a folder of findings out.
// Used by the program. Promises the summary on standard output, troubles on standard error.
#pragma once

#include "read/delimited.hpp"
#include "read/limits_file.hpp"
#include "write/page.hpp"

#include <atomic>
#include <optional>
#include <string>
#include <vector>

namespace vitalproof::command {

struct audit_request {
    std::vector<std::string> files{};
    std::string into{};
    read::sourced_limits in_force{};
    read::delimited_options reading{};
    std::string as_of{};
    std::optional<asks> fail_on{};
    write::page_options page{};
    bool quiet = false;
};

/// Audits and returns the exit status.
int run_audit(const audit_request& request, const std::atomic<bool>& stop);

}  // namespace vitalproof::command
