#include "command/signals.hpp"

#include <csignal>

namespace vitalproof::command {

namespace {

std::atomic<bool> stop_asked{false};
static_assert(std::atomic<bool>::is_always_lock_free, "set from a signal handler");

extern "C" void ask_to_stop(int signal) {
    // A second signal ends the program at once.
    std::signal(signal, SIG_DFL);
    stop_asked.store(true);
}

}  // namespace

const std::atomic<bool>& stop_on_signals() {
    std::signal(SIGINT, ask_to_stop);
    std::signal(SIGTERM, ask_to_stop);
    if (std::signal(SIGHUP, ask_to_stop) == SIG_IGN) {
        std::signal(SIGHUP, SIG_IGN);  // started to outlive its terminal
    }
    std::signal(SIGPIPE, SIG_IGN);
    std::signal(SIGXFSZ, SIG_IGN);
    return stop_asked;
}

}  // namespace vitalproof::command
