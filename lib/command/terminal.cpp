#include "command/terminal.hpp"

#include "read/text.hpp"
#include "write/harmless.hpp"

#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdlib>
#include <string>

namespace vitalproof::command {

namespace {

bool failed = false;

/// Bold, its end, and an empty line to draw progress on. Harmless in a name, too.
constexpr std::array<std::string_view, 3> own_controls{"\x1b[1m", "\x1b[0m", "\r\x1b[K"};

/// The text as it may reach a terminal.
std::string harmless(std::string_view text) {
    std::string shown;
    shown.reserve(text.size());
    while (!text.empty()) {
        std::size_t taken = 0;
        for (const std::string_view own : own_controls) {
            taken = text.starts_with(own) ? own.size() : taken;
        }
        const read::utf_8_step step = read::next_character(text);
        const std::string_view character = text.substr(0, step.bytes);
        const bool acts = !step.sound || (character < " " && character != "\n") ||
                          character == "\x7F" || write::acts_on_text(character);
        if (taken == 0 && acts) {
            shown += '?';
        } else {
            shown += text.substr(0, std::max(taken, step.bytes));
        }
        text.remove_prefix(std::max(taken, step.bytes));
    }
    return shown;
}

}  // namespace

bool is_terminal(std::FILE* stream) {
    const char* kind = std::getenv("TERM");
    const bool dumb = kind == nullptr || std::string_view(kind) == "dumb";
    return isatty(fileno(stream)) != 0 && !dumb && std::getenv("NO_COLOR") == nullptr;
}

void print(std::string_view raw) {
    const std::string text = harmless(raw);
    errno = 0;
    const bool written =
        std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
    failed = failed || (!written && errno != EPIPE);
}

void print_error(std::string_view raw) {
    const std::string text = harmless(raw);
    std::fwrite(text.data(), 1, text.size(), stderr);
    std::fflush(stderr);
}

bool output_reached() { return !failed; }

}  // namespace vitalproof::command
