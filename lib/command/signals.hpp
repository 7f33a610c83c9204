// Signals that ask the program to stop.
// Used by main and by whoever else runs the program. Promises that the first one lets an audit end
// with an account, and a second one ends the program at once.
#pragma once

#include <atomic>

namespace vitalproof::command {

/// Installs the handlers; the flag is set by the first of SIGINT, SIGTERM and, unless it was
/// ignored, SIGHUP. A closed pipe and a file that may not grow further are failed writes from here
/// on, not a death.
const std::atomic<bool>& stop_on_signals();

}  // namespace vitalproof::command
