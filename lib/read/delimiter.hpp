// Which line of a file is its header, and which character separates its cells.
// Used by read_delimited before the first row is read. Promises to judge by the header, to read
// quotes as the tokenizer does, and to keep the comma unless another character is clearly better.
#pragma once

#include "read/tokenizer.hpp"

#include <cstdint>
#include <string_view>

namespace vitalproof::read {

struct column_mapping;

/// How many first bytes decide.
inline constexpr std::size_t bytes_for_header = std::size_t{1} << 15;

struct header_place {
    char delimiter = ',';
    std::uint64_t line = 0;  ///< from 1; 0 where no line can be a header
};

/// The header is the first of 20 lines that names a report and a vital sign. The delimiter is the
/// stated one, unless that is the comma; then comma, semicolon, tab or bar: the one that makes the
/// highest header; else the one by which a line has the most cells that name a column of ours;
/// where none has any, the one found most often in the first line. What a mapping says of columns
/// counts as their names do, where a line has all of its columns.
header_place find_header(std::string_view first_bytes, tokenizer_options options = {},
                         const column_mapping* mapping = nullptr);

/// Above the header a quote that takes in several lines is a stray one: they are read one by one.
void give_up_swallowed(tokenizer& tokens, const token_row& above_header);

/// `comma`, `semicolon`, `tab`, `vertical bar`.
std::string_view name_of_delimiter(char delimiter);

}  // namespace vitalproof::read
