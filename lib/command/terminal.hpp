// What the program says, and whether a person is watching.
// Used by every command. Promises that a closed pipe is quiet, and that colour is for terminals.
#pragma once

#include <cstdio>
#include <string_view>

namespace vitalproof::command {

/// Whether the stream is a terminal that may be coloured (NO_COLOR unset, TERM not dumb).
bool is_terminal(std::FILE* stream);

/// To standard output; remembers when that failed.
void print(std::string_view text);
/// To standard error.
void print_error(std::string_view text);

/// Whether all that was printed reached standard output; a reader that went away counts as such.
bool output_reached();

}  // namespace vitalproof::command
