// Columns that other libraries hand over through Arrow's C data interface.
// Used where a frame comes in. Promises to look at them where they lie, and an error that names the
// type of a column that holds neither numbers, texts nor times.
#pragma once

#include "arrow_abi.hpp"
#include "source_column.hpp"

#include <memory>
#include <string>
#include <vector>

namespace vitalproof::python {

/// A table, or a single column, in as many pieces as it came.
class arrow_table {
public:
    /// Reads a stream to its end.
    explicit arrow_table(ArrowArrayStream& stream);
    /// One piece.
    arrow_table(ArrowSchema& schema, ArrowArray& array);

    /// Whether it is a table; else it is a single column.
    bool has_columns() const;
    std::vector<std::string> names() const;
    std::size_t rows() const;

    /// A column of a table by its place; throws std::invalid_argument where its type is none of
    /// ours.
    source_column column(std::size_t index) const;
    /// The single column.
    source_column column() const;

private:
    struct held {
        arrow_owner<ArrowSchema> schema{};
        std::vector<arrow_owner<ArrowArray>> pieces{};
    };

    std::shared_ptr<held> held_ = std::make_shared<held>();
};

}  // namespace vitalproof::python
