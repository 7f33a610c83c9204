#include "write/csv.hpp"

#include <algorithm>

namespace vitalproof::write {

namespace {

bool is_control(char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; }

/// A plain number may begin with a sign: no spreadsheet runs it.
bool is_number(std::string_view text) {
    return std::ranges::all_of(text.substr(1), [](char c) {
        return (c >= '0' && c <= '9') || c == '.';
    }) && text.size() > 1;
}

bool could_run(std::string_view text) {
    if (text.empty() || std::string_view("=+-@\t\r").find(text.front()) == std::string_view::npos) {
        return false;
    }
    const bool signed_number = (text.front() == '-' || text.front() == '+') && is_number(text);
    return !signed_number;
}

}  // namespace

void append_cell(std::string& row, std::string_view text) {
    const bool guard = could_run(text);
    // Without an early end and in bytes, so that the compiler may take 16 characters at a time.
    unsigned char special = 0;
    for (const char c : text) {
        special = static_cast<unsigned char>(special | (c == ',') | (c == '"') | is_control(c));
    }
    const bool quote = guard || special != 0 ||
                       (!text.empty() && (text.front() == ' ' || text.back() == ' '));
    if (!quote) {
        row.append(text);
        return;
    }
    row.push_back('"');
    if (guard) {
        row.push_back('\'');
    }
    for (const char c : text) {
        if (c == '"') {
            row.push_back('"');
        }
        row.push_back(is_control(c) ? ' ' : c);
    }
    row.push_back('"');
}

}  // namespace vitalproof::write
