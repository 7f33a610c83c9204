// What the program says, and whether a person is watching.
// Used by every command. Promises that a closed pipe is quiet, that colour is for terminals, and
// that no name from an input moves the cursor or turns the direction of the text.
#pragma once

#include <cstdio>
#include <string_view>

namespace vitalproof::command {

/// Whether the stream is a terminal that may be coloured (NO_COLOR unset, TERM not dumb).
bool is_terminal(std::FILE* stream);

/// To standard output; remembers when that failed. Controls other than the line end and the
/// program's own are shown as `?`, in print_error() too.
void print(std::string_view raw);
/// To standard error.
void print_error(std::string_view raw);

/// Whether all that was printed reached standard output; a reader that went away counts as such.
bool output_reached();

}  // namespace vitalproof::command
