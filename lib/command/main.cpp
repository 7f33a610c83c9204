// The program: signals, and nothing else.
#include "command/command.hpp"

#include <atomic>
#include <csignal>

namespace {

std::atomic<bool> stop_asked{false};
static_assert(std::atomic<bool>::is_always_lock_free, "set from a signal handler");

extern "C" void ask_to_stop(int signal) {
    // A second signal ends the program at once.
    std::signal(signal, SIG_DFL);
    stop_asked.store(true);
}

}  // namespace

int main(int argc, char** argv) {
    std::signal(SIGINT, ask_to_stop);
    std::signal(SIGTERM, ask_to_stop);
    std::signal(SIGPIPE, SIG_IGN);  // a closed pipe is a failed write, not a death
    return vitalproof::command::run(argc, argv, stop_asked);
}
