// The command that shows how the columns of files are understood.
// Used by the program.
#pragma once

#include "command/shared_options.hpp"

#include <atomic>
#include <string>
#include <vector>

namespace vitalproof::command {

struct columns_options {
    std::vector<std::string> files{};
    reading_choices reading{};
    bool as_mapping = false;
};

void add_columns(CLI::App& program, columns_options& options);

/// Runs it; `stop` may be set from a signal handler.
int columns_command(const columns_options& options, const std::atomic<bool>& stop);

}  // namespace vitalproof::command
