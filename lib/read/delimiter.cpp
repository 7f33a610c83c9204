#include "read/delimiter.hpp"

#include "read/byte_source.hpp"
#include "read/columns.hpp"

#include <algorithm>
#include <array>
#include <compare>
#include <utility>

namespace vitalproof::read {

namespace {

constexpr std::array candidates{',', ';', '\t', '|'};
constexpr std::uint64_t lines_to_judge = 20;  // titles may stand above the header
constexpr std::size_t most_cells_judged = 256;

// How well a delimiter fits a line; what comes first counts most.
struct fit {
    std::uint64_t header_rank = 0;  // with all that a header needs; more the higher it stands
    std::size_t named = 0;          // cells that name a column
    std::size_t cells = 0;          // of the first row alone, unless quotes end amid cells

    friend auto operator<=>(const fit&, const fit&) = default;  // NOLINT: no pointer
};

// A header may be one whatever is wrong with it: then its faults are to be told.
bool is_header(const understanding& seen) {
    return (seen.find(column_role::report) != nullptr || seen.report_stated) &&
           (seen.signs_not_carried.size() < sign_count || seen.long_form());
}

understanding understand_line(const token_row& row, const column_mapping* mapping) {
    if (mapping != nullptr) {
        header_outcome by_mapping = understand_header(row.cells, mapping);
        if (!by_mapping.error) {
            return std::move(by_mapping.columns);
        }
    }
    return understand_header(row.cells.first(std::min(row.cells.size(), most_cells_judged)))
        .columns;
}

fit fit_of(const token_row& row, bool first, const column_mapping* mapping) {
    if (row.fault != row_fault::none || row.cells.size() < 2) {
        return {};
    }
    const understanding seen = understand_line(row, mapping);
    const auto named = std::ranges::count_if(
        seen.columns, [](const column& c) { return c.role != column_role::ignored; });
    return {is_header(seen) ? lines_to_judge + 1 - row.line : 0, static_cast<std::size_t>(named),
            first && !row.text_behind_quote ? std::min(row.cells.size(), most_cells_judged) : 0};
}

struct judgement {
    fit best{};
    std::uint64_t header_line = 0;
};

judgement judge(std::string_view first_bytes, const tokenizer_options& options,
                const column_mapping* mapping) {
    memory_source source(first_bytes);
    tokenizer tokens(source, options);
    judgement found;
    token_row row;
    for (bool first = true; tokens.next(row) && row.line <= lines_to_judge; first = false) {
        const fit here = fit_of(row, first, mapping);
        found.best = std::max(found.best, here);
        if (here.header_rank != 0) {
            found.header_line = row.line;
            break;
        }
        give_up_swallowed(tokens, row);
    }
    return found;
}

}  // namespace

void give_up_swallowed(tokenizer& tokens, const token_row& above_header) {
    if (above_header.fault == row_fault::none && above_header.lines > 1) {
        tokens.give_up_first_line();
    }
}

header_place find_header(std::string_view first_bytes, tokenizer_options options,
                         const column_mapping* mapping) {
    const char stated = options.delimiter;
    options.longest_row = first_bytes.size() + 1;
    options.piece_bytes = options.longest_row;
    header_place place{.delimiter = stated};
    fit best{};
    for (const char delimiter : candidates) {
        options.delimiter = stated == ',' ? delimiter : stated;
        const judgement seen = judge(first_bytes, options, mapping);
        if (seen.best > best) {
            best = seen.best;
            place = {options.delimiter, seen.header_line};
        }
    }
    return place;
}

std::string_view name_of_delimiter(char delimiter) {
    switch (delimiter) {
        case ';':
            return "semicolon";
        case '\t':
            return "tab";
        case '|':
            return "vertical bar";
        default:
            return "comma";
    }
}

}  // namespace vitalproof::read
