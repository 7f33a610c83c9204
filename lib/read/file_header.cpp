#include "read/file_header.hpp"

#include "read/delimiter.hpp"
#include "read/time_columns.hpp"
#include "read/unit_columns.hpp"

#include <algorithm>
#include <utility>

namespace vitalproof::read {

namespace {

using namespace std::string_literals;

header_place look_for_header(tokenizer& tokens, const delimited_options& options) {
    const std::size_t most = std::min(bytes_for_header, options.text.longest_row);
    return find_header(tokens.peek(most).substr(0, most), options.text, options.mapping.get());
}

struct next_row {
    bool there = false;
    std::uint64_t lines_above = 0;  // and not read
};

// The row on the header's line; the first row where no line is known to be the header.
next_row next_header(tokenizer& tokens, token_row& row, std::uint64_t line) {
    next_row next{tokens.next(row)};
    while (next.there && row.line < line) {
        next.lines_above = line - 1;
        give_up_swallowed(tokens, row);
        next.there = tokens.next(row);
    }
    return next;
}

std::optional<file_error> fault_of(const token_row& row) {
    switch (row.fault) {
        case row_fault::none:
            return std::nullopt;
        case row_fault::nul:
            return file_error{"this is not text: its first line holds NUL bytes",
                              "export it as comma-separated text"};
        default:
            return file_error{
                "the header cannot be read: its first line is too long, or a "
                "quote in it does not close",
                "check that it is comma-separated text"};
    }
}

void say_what_was_assumed(file_header& header, std::uint64_t lines_above, encoding characters) {
    understanding& columns = header.columns;
    if (lines_above != 0) {
        columns.assumptions.push_back(lines_above == 1
                                          ? "Line 1 stands above the header and was not read"s
                                          : "Lines 1-" + std::to_string(lines_above) +
                                                " stand above the header and were not read");
    }
    if (characters != encoding::utf_8) {
        columns.assumptions.push_back("Characters read as " + std::string(name_of(characters)));
    }
    if (header.text.delimiter != ',') {
        columns.decimal_comma = true;
        columns.assumptions.push_back("Cells separated by a " + header.delimiter +
                                      ", so 36,8 is read as 36.8");
    }
}

}  // namespace

file_header read_file_header(text_source& text, tokenizer& tokens, const delimited_options& options,
                             const time_zone* zone) {
    file_header header;
    const auto [delimiter, line] = look_for_header(tokens, options);
    tokens.set_delimiter(delimiter);
    header.delimiter = name_of_delimiter(delimiter);
    header.text = options.text;
    header.text.delimiter = delimiter;
    token_row row;
    const next_row found = next_header(tokens, row, line);
    if (!found.there) {
        header.error = file_error{"the file is empty", "check that its export finished"};
        return header;
    }
    header.error = fault_of(row);
    if (header.error) {
        return header;
    }
    header.cells.assign(row.cells.begin(), row.cells.end());
    header.first_row = row.line + row.lines;
    header_outcome understood = understand_header(row.cells, options.mapping.get());
    header.columns = std::move(understood.columns);
    header.error = std::move(understood.error);
    say_what_was_assumed(header, found.lines_above, text.as());
    if (!header.error) {
        settle_units(header.columns, tokens, header.text);
        settle_times(header.columns, tokens, header.text, header.first_row, options.dates, zone);
    }
    return header;
}

}  // namespace vitalproof::read
