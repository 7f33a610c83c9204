#include "write/unread.hpp"

#include "write/names.hpp"

#include <string>

namespace vitalproof::write {

unread_writer::unread_writer(const output_folder& folder) : table_(folder.file(unread_name)) {
    for (const auto name : {"file", "line", "column", "text", "reason", "remedy"}) {
        row_.cell(name);
    }
    table_.append(row_.line());
}

void unread_writer::add(const read::unread_row& row) {
    row_.clear();
    row_.cell(row.file)
        .cell(std::to_string(row.line))
        .cell(row.column)
        .cell(row.text.display())
        .cell(row.reason)
        .cell(row.remedy);
    table_.append(row_.line());
}

}  // namespace vitalproof::write
