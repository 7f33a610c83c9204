// The commands that explain the catalogue: its checks, and the limits in force.
// Used by the program.
#pragma once

#include "command/shared_options.hpp"

#include <string>
#include <vector>

namespace vitalproof::command {

struct checks_options {
    std::vector<std::string> codes{};
    limit_options limits{};
    bool page = false;
};

void add_checks(CLI::App& program, checks_options& options);
int checks(const checks_options& options);

void add_limits(CLI::App& program, limit_options& options);
int limits_command(const limit_options& options);

}  // namespace vitalproof::command
