#include "write/unread.hpp"

#include "write/names.hpp"

#include <string>

namespace vitalproof::write {

unread_writer::unread_writer(const output_folder& folder) : table_(folder.file(unread_name)) {
    csv_row titles(table_.text());
    for (const auto name : {"file", "line", "column", "text", "reason", "remedy"}) {
        titles.cell(name);
    }
    titles.end();
}

void unread_writer::add(const read::unread_row& row) {
    csv_row cells(table_.text());
    cells.cell(row.file)
        .cell(std::to_string(row.line))
        .cell(row.column)
        .cell(row.text.display())
        .cell(row.reason)
        .cell(row.remedy)
        .end();
    table_.flush_full();
}

}  // namespace vitalproof::write
