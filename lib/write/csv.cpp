#include "write/csv.hpp"

#include "write/special_bytes.hpp"

#include <algorithm>

namespace vitalproof::write {

namespace {

constexpr auto is_control = [](auto c) { return (c < 0x20) | (c == 0x7F); };
constexpr auto is_rewritten = [](auto c) { return (c == '"') | is_control(c); };
constexpr auto is_quoted = [](auto c) { return (c == ',') | is_rewritten(c); };

/// A plain number may begin with a sign: no spreadsheet runs it.
bool is_number(std::string_view text) {
    return std::ranges::all_of(text.substr(1),
                               [](char c) { return (c >= '0' && c <= '9') || c == '.'; }) &&
           text.size() > 1;
}

bool could_run(std::string_view text) {
    if (text.empty()) {
        return false;
    }
    switch (text.front()) {
        case '=':
        case '@':
        case '\t':
        case '\r':
            return true;
        case '+':
        case '-':
            return !is_number(text);
        default:
            return false;
    }
}

bool has_space_at_an_end(std::string_view text) {
    return !text.empty() && (text.front() == ' ' || text.back() == ' ');
}

/// Quotes twice, control characters as spaces.
void append_rewritten(std::string& row, std::string_view text) {
    for (;;) {
        const std::size_t plain = first_special(text, is_rewritten);
        row.append(text.substr(0, plain));
        if (plain == text.size()) {
            return;
        }
        row.append(text[plain] == '"' ? "\"\"" : " ");
        text.remove_prefix(plain + 1);
    }
}

}  // namespace

void append_cell(std::string& row, std::string_view text) {
    const bool guard = could_run(text);
    if (!guard && !has_space_at_an_end(text) && first_special(text, is_quoted) == text.size()) {
        row.append(text);
        return;
    }
    row.append(guard ? "\"'" : "\"");
    append_rewritten(row, text);
    row.push_back('"');
}

}  // namespace vitalproof::write
