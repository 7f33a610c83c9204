// Rows that could not be read, with where they stand and what to do.
// Used by the program. Promises to echo only text that cannot carry a name.
#pragma once

#include "read/delimited.hpp"
#include "write/csv.hpp"
#include "write/output.hpp"

namespace vitalproof::write {

class unread_writer {
public:
    /// Writes unread.csv into the folder; throws output_error.
    explicit unread_writer(const output_folder& folder);

    void add(const read::unread_row& row);
    void close() { table_.close(); }

private:
    output_file table_;
};

}  // namespace vitalproof::write
