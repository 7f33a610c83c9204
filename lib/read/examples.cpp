#include "read/examples.hpp"

#include "read/first_rows.hpp"
#include "read/text.hpp"
#include "read/timestamp.hpp"
#include "read/written_time.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>

namespace vitalproof::read {

namespace {

constexpr std::size_t bytes_looked_at = std::size_t{1} << 16;
constexpr std::size_t longest_time = 40;

bool reads_as_time(std::string_view text) {
    const time_kind kind = read_timestamp(text).kind;
    return (kind != time_kind::unreadable && kind != time_kind::blank) ||
           read_written_time(text).has_value();
}

// What may be shown of a cell, if anything.
std::optional<std::string> example_of(const column& c, std::string_view cell) {
    const std::string_view text = trimmed_wide(cell);
    bool may_be_shown = false;
    switch (c.role) {
        case column_role::sign:
        case column_role::pressures:
            may_be_shown = may_be_echoed(text);
            break;
        case column_role::time:
        case column_role::date:
        case column_role::call_date:
            may_be_shown = text.size() <= longest_time && reads_as_time(text);
            break;
        default:
            break;
    }
    return may_be_shown && !text.empty() ? std::optional(printable(text, longest_time))
                                         : std::nullopt;
}

}  // namespace

void gather_examples(understanding& columns, tokenizer& tokens, const tokenizer_options& options,
                     std::size_t most) {
    look_at_first_rows(tokens, options, bytes_looked_at, [&](const token_row& row) {
        // In rows of another width cells may stand under a name that is not theirs.
        const bool fits = row.cells.size() == columns.columns.size();
        for (std::size_t i = 0; fits && i < columns.columns.size(); ++i) {
            column& c = columns.columns[i];
            auto example =
                c.examples.size() < most ? example_of(c, row.cells[c.index]) : std::nullopt;
            if (example && std::ranges::find(c.examples, *example) == c.examples.end()) {
                c.examples.push_back(std::move(*example));
            }
        }
        return true;
    });
}

}  // namespace vitalproof::read
