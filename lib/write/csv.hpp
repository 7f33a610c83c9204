// One row of comma-separated text by RFC 4180, safe to open in a spreadsheet.
// Used by every writer of tables. Promises that no cell can run as a formula, and that a row is
// one line in UTF-8: control characters become spaces, bytes that are no character and characters
// that turn the direction of writing U+FFFD.
#pragma once

#include <string>
#include <string_view>

namespace vitalproof::write {

/// Appends a cell; quotes it where needed. A text that a spreadsheet would take for a formula
/// (beginning with = + - @ tab or return) gets an apostrophe before it, unless it is a number.
void append_cell(std::string& row, std::string_view text);

/// A row built cell by cell.
class csv_row {
public:
    csv_row& cell(std::string_view text) {
        if (!text_.empty()) {
            text_.push_back(',');
        }
        // An empty first cell would be taken for no cell yet.
        if (text_.empty() && text.empty()) {
            text_.append("\"\"");
        } else {
            append_cell(text_, text);
        }
        return *this;
    }

    /// Cells written beforehand by another row, without its end.
    csv_row& cells(std::string_view written) {
        if (!text_.empty()) {
            text_.push_back(',');
        }
        text_.append(written);
        return *this;
    }
    std::string_view text() const { return text_; }

    /// The finished line with its end; the row is empty again after the next clear().
    std::string_view line() {
        text_.append("\r\n");
        return text_;
    }
    void clear() { text_.clear(); }

private:
    std::string text_;
};

}  // namespace vitalproof::write
