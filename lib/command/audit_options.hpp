// The command that audits files: its options, and the request they come to.
// Used by the program. Promises that whatever cannot be used is printed before anything is read.
#pragma once

#include "command/shared_options.hpp"

#include <algorithm>
#include <atomic>
#include <string>
#include <thread>
#include <vector>

namespace vitalproof::command {

struct audit_options {
    std::vector<std::string> files{};
    std::string into{};
    limit_options limits{};
    reading_choices reading{};
    std::string fail_on{};
    unsigned threads = std::max(1U, std::thread::hardware_concurrency());
    std::string as_of{};
    std::string decisions{};
    bool show_crews = false;
    bool strict_xml = false;
    bool quiet = false;
};

void add_audit(CLI::App& program, audit_options& options);

/// Runs it; `stop` may be set from a signal handler.
int audit(const audit_options& options, const std::atomic<bool>& stop);

}  // namespace vitalproof::command
