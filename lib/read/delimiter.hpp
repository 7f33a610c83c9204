// Which character separates a file's cells.
// Used by read_delimited before the first row is read. Promises to judge by the header, to respect
// quotes, and to keep the comma unless another character is clearly better.
#pragma once

#include <string_view>

namespace vitalproof::read {

/// How many first bytes decide.
inline constexpr std::size_t bytes_for_delimiter = std::size_t{1} << 13;

/// Comma, semicolon, tab or bar: the one that makes a header of one of the first lines; else the
/// one by which a line has the most cells that name a column of ours; where none has any, the one
/// found most often in the first line.
char choose_delimiter(std::string_view first_bytes);

/// `comma`, `semicolon`, `tab`, `vertical bar`.
std::string_view name_of_delimiter(char delimiter);

}  // namespace vitalproof::read
