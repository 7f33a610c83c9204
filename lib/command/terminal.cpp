#include "command/terminal.hpp"

#include <unistd.h>

#include <cerrno>
#include <cstdlib>

namespace vitalproof::command {

namespace {
bool failed = false;
}

bool is_terminal(std::FILE* stream) {
    const char* kind = std::getenv("TERM");
    const bool dumb = kind == nullptr || std::string_view(kind) == "dumb";
    return isatty(fileno(stream)) != 0 && !dumb && std::getenv("NO_COLOR") == nullptr;
}

void print(std::string_view text) {
    errno = 0;
    const bool written =
        std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
    failed = failed || (!written && errno != EPIPE);
}

void print_error(std::string_view text) {
    std::fwrite(text.data(), 1, text.size(), stderr);
    std::fflush(stderr);
}

bool output_reached() { return !failed; }

}  // namespace vitalproof::command
