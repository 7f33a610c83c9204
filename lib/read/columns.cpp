#include "read/columns.hpp"

#include "read/column_mapping.hpp"
#include "read/column_meaning.hpp"
#include "read/column_settling.hpp"
#include "read/long_form.hpp"
#include "read/text.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace vitalproof::read {

namespace {

constexpr std::size_t longest_shown = 40;
constexpr std::size_t most_listed = 20;
/// Columns of a header in which numbered groups are looked for: trying every number of a name takes
/// its time, and no report has so many signs.
constexpr std::size_t most_numbered = 2000;

void state_report(const column_mapping& mapping, understanding& seen,
                  std::vector<understood>& columns) {
    if (!mapping.report) {
        return;
    }
    seen.report_stated = mapping.report;
    seen.assumptions.push_back("Every row is of the report \"" + shown_header(*mapping.report) +
                               "\", as the mapping says");
    for (understood& c : columns) {
        if (c.as.role == column_role::report) {
            c.as.role = column_role::ignored;
            c.as.remark = "not used: the mapping says which report every row is of";
        }
    }
}

void say_groups(understanding& seen) {
    if (!seen.groups.empty()) {
        seen.assumptions.push_back("Each row holds up to " + std::to_string(seen.groups.size()) +
                                   " sets, by the numbers " + std::to_string(seen.groups.front()) +
                                   " to " + std::to_string(seen.groups.back()) +
                                   " in its columns' names");
    }
}

std::string list_of(const std::vector<column>& columns) {
    std::string list;
    for (std::size_t i = 0; i < std::min(columns.size(), most_listed); ++i) {
        list += (i == 0 ? "\"" : ", \"") + columns[i].header + '"';
    }
    return columns.size() > most_listed ? list + ", ..." : list;
}

// The header as far as it may be shown. Where no cell is a name of ours the line may be a report's
// first row, patient and all, and nothing of it is echoed.
std::string header_in_words(const std::vector<column>& columns) {
    const bool known = std::ranges::any_of(
        columns, [](const column& c) { return c.role != column_role::ignored; });
    return known ? "the header is " + list_of(columns)
                 : "the first line has " + std::to_string(columns.size()) +
                       (columns.size() == 1 ? " cell" : " cells") +
                       " and none is the name of a column: is it the header?";
}

std::optional<file_error> find_missing(const understanding& seen, bool report_needed) {
    if (report_needed && seen.find(column_role::report) == nullptr && !seen.report_stated) {
        return file_error{"no column names the report; " + header_in_words(seen.columns),
                          "name the column with the report identifier \"report\""};
    }
    if (seen.signs_not_carried.size() == sign_count && !seen.long_form()) {
        return file_error{"no column holds a vital sign; " + header_in_words(seen.columns),
                          "name the columns after their signs, such as \"systolic\""};
    }
    return std::nullopt;
}

}  // namespace

const column* understanding::find(column_role role) const {
    const auto found = std::ranges::find(columns, role, &column::role);
    return found == columns.end() ? nullptr : &*found;
}

const column* understanding::find(sign_id sign) const {
    const auto found = std::ranges::find_if(
        columns, [sign](const column& c) { return c.role == column_role::sign && c.sign == sign; });
    return found == columns.end() ? nullptr : &*found;
}

bool understanding::carries(sign_id sign) const {
    const bool of_pressure =
        sign == sign_id::systolic || sign == sign_id::diastolic || sign == sign_id::mean_pressure;
    return find(sign) != nullptr || (of_pressure && find(column_role::pressures) != nullptr);
}

header_outcome understand_header(std::span<const std::string_view> header,
                                 const column_mapping* mapping, bool report_needed) {
    header_outcome outcome;
    const mapped_header said =
        mapping == nullptr ? mapped_header{std::vector<const mapped_column*>(header.size()), {}}
                           : find_mapped(*mapping, header);
    if (said.error) {
        outcome.error = said.error;
        return outcome;
    }
    std::vector<understood> columns;
    for (std::size_t i = 0; i < header.size(); ++i) {
        columns.push_back(said.columns[i] == nullptr
                              ? understand_column(i, header[i], header.size() <= most_numbered)
                              : understand_mapped(i, header[i], *said.columns[i]));
    }
    if (mapping != nullptr) {
        outcome.columns.assumptions.push_back("Read with the mapping " + mapping->file);
        state_report(*mapping, outcome.columns, columns);
    }
    settlement settled = settle_columns(columns);
    outcome.columns.groups = std::move(settled.groups);
    outcome.error = std::move(settled.error);
    say_groups(outcome.columns);
    for (understood& c : columns) {
        outcome.columns.columns.push_back(std::move(c.as));
    }
    for (const sign_info& sign : sign_table) {
        if (!outcome.columns.carries(sign.id)) {
            outcome.columns.signs_not_carried.push_back(sign.id);
        }
    }
    if (!outcome.error) {
        outcome.error = understand_long_form(header, outcome.columns);
    }
    if (mapping != nullptr && !mapping->signs.empty() && !outcome.columns.long_form()) {
        outcome.columns.assumptions.emplace_back(
            "[signs] of the mapping is not used: no column names the sign of each row");
    }
    if (!outcome.error) {
        outcome.error = find_missing(outcome.columns, report_needed);
    }
    return outcome;
}

void add_phrase(std::string& text, std::string_view phrase) {
    text += (text.empty() ? "" : "; ") + std::string(phrase);
}

std::string shown_header(std::string_view cell) { return printable(trimmed(cell), longest_shown); }

}  // namespace vitalproof::read
