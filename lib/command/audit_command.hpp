// `vitalproof audit`: files in, a folder of findings out.
// Used by the program. Promises the summary on standard output, troubles on standard error.
#pragma once

#include "read/delimited.hpp"
#include "read/limits_file.hpp"
#include "write/page.hpp"
#include <vitalproof/vital_set.hpp>

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
    set_time as_of{};  ///< the moment the audit speaks for
    std::optional<asks> fail_on{};
    write::page_options page{};
    bool quiet = false;
    unsigned threads = 1;
};

/// What an audit came to: the exit status, and what it has to say.
struct audit_result {
    int status = 0;
    std::string summary{};   ///< with what was assumed of each file
    std::string troubles{};  ///< of the inputs, or of an interruption; empty as a rule
};

/// Audits into the folder without printing anything, but for progress on a terminal unless quiet.
/// Throws write::folder_refused and write::output_error.
audit_result audit_into_folder(const audit_request& request, const std::atomic<bool>& stop);

/// The same, printed. Returns the exit status.
int run_audit(const audit_request& request, const std::atomic<bool>& stop);

}  // namespace vitalproof::command
