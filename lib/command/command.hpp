// The command-line program as a function.
// Used by main and by tests. Promises an exit status that says what happened: 130 interrupted, 4 an
// output could not be written, 3 an input was missing, not understood or broken off, 2 wrong usage,
// 1 a finding at or above --fail-on, else 0; the highest that applies.
#pragma once

#include <atomic>

namespace vitalproof::command {

enum exit_status : int {
    all_well = 0,
    found = 1,
    wrong_usage = 2,
    input_failed = 3,
    output_failed = 4,
    interrupted = 130,
};

/// Runs the program. `stop` may be set from a signal handler.
int run(int argc, const char* const* argv, const std::atomic<bool>& stop);

}  // namespace vitalproof::command
