// What the two halves of the tokenizer share.
// Used by tokenizer.cpp, which reads pieces and gives rows, and tokenizer_scan.cpp, which finds
// cells. Promises nothing to anyone else.
#pragma once

#include "read/special_bytes.hpp"

#include <cstddef>

namespace vitalproof::read::detail {

inline constexpr char quote = '"';

// Behind the last byte read, so that blocks and numbers may be loaded across the end. DEL is
// never special and cannot be a delimiter.
inline constexpr std::size_t padding = 2 * special_block;
inline constexpr char padding_byte = '\x7F';

constexpr bool is_line_end(char c) { return c == '\n' || c == '\r'; }

template <class T>
constexpr std::size_t between(const T* from, const T* to) {
    return static_cast<std::size_t>(to - from);
}

}  // namespace vitalproof::read::detail
