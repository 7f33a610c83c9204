// The first rows of a file, looked at before any is handed over.
// Used by whatever is decided once a file: units, the order of day and month, names in the long
// form. Promises that nothing is consumed, and that a row which the look cuts in two is not seen.
#pragma once

#include "read/tokenizer.hpp"

#include <concepts>
#include <cstddef>
#include <string_view>

namespace vitalproof::read {

/// Calls `use(row)` for every row without a fault among the next `look` bytes, until it says false;
/// lines count from where `tokens` stands. Returns whether these are all the bytes there are.
template <std::predicate<const token_row&> Use>
bool look_at_first_rows(tokenizer& tokens, const tokenizer_options& options, std::size_t look,
                        Use&& use) {
    std::string_view bytes = tokens.peek(look);
    const bool all = bytes.size() < look;
    memory_source source(all ? bytes : bytes.substr(0, bytes.find_last_of("\r\n") + 1));
    tokenizer rows(source, options);
    token_row row;
    while (rows.next(row)) {
        if (row.fault == row_fault::none && !use(row)) {
            break;
        }
    }
    return all;
}

}  // namespace vitalproof::read
