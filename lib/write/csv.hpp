// One row of comma-separated text by RFC 4180, safe to open in a spreadsheet.
// Used by every writer of tables. Promises that no cell can run as a formula, and that a row is
// one line in UTF-8: control characters become spaces, bytes that are no character and characters
// that turn the direction of writing U+FFFD.
#pragma once

#include "write/checked_text.hpp"
#include "write/text_block.hpp"

#include <string_view>

namespace vitalproof::write {

/// Appends a cell; quotes it where needed. A text that a spreadsheet would take for a formula
/// (beginning with = + - @ tab or return) gets an apostrophe before it, unless it is a number.
void append_cell(text_block& out, const checked_text& checked);
inline void append_cell(text_block& out, std::string_view text) { append_cell(out, checked(text)); }

/// A row written cell by cell.
class csv_row {
public:
    explicit csv_row(text_block& out) : out_(out) {}

    /// A row whose beginning, with a cell at least, stands in `out` already.
    static csv_row continued(text_block& out) { return {out, false}; }

    csv_row& cell(std::string_view text) { return cell(checked(text)); }
    csv_row& cell(const checked_text& text) {
        if (!first_) {
            out_.push_back(',');
            append_cell(out_, text);
        } else if (text.text.empty()) {
            out_.append("\"\"");  // a line never begins with a comma
        } else {
            append_cell(out_, text);
        }
        first_ = false;
        return *this;
    }

    /// Cells written beforehand by another row, without its end.
    csv_row& cells(std::string_view written) {
        if (!first_) {
            out_.push_back(',');
        }
        out_.append(written);
        first_ = false;
        return *this;
    }

    void end() { out_.append("\r\n"); }

private:
    csv_row(text_block& out, bool first) : out_(out), first_(first) {}

    text_block& out_;
    bool first_ = true;
};

}  // namespace vitalproof::write
