// The flags of a table: which checks fired on which rows, and which could be evaluated.
// Used by the bindings. Promises Arrow's boolean layout as the kernel writes it, so that nothing is
// copied on the way out, and the same bits whatever the threads.
#pragma once

#include "arrow_abi.hpp"
#include "table.hpp"

#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <vector>

namespace vitalproof::python {

class table_flags {
public:
    using words = std::vector<flag_word>;

    /// Examines the table by the checks given; those that are not asked of it come out evaluated
    /// nowhere.
    table_flags(const table& from, const limits& in_force, std::vector<std::size_t> checks,
                std::size_t threads);

    std::size_t rows() const { return rows_; }
    const std::vector<std::size_t>& checks() const { return checks_; }
    /// By place among checks().
    const words& fired(std::size_t at) const { return fired_[at]; }
    const words& evaluated(std::size_t at) const { return *evaluated_[at]; }

private:
    void make_room(std::size_t rows);
    void take(const block_result& block, const std::vector<std::uint32_t>& masks);
    void put_back(const std::vector<std::size_t>& order, std::size_t threads);
    void leave_out_rows_without_signs(const table& from);

    std::size_t rows_;
    std::vector<std::size_t> checks_;
    std::vector<words> fired_;
    // Checks that need the same signs share one.
    std::map<std::uint32_t, std::shared_ptr<words>> evaluated_by_needs_;
    std::vector<std::shared_ptr<words>> evaluated_;
};

/// As a record batch with a boolean column for each check: true where it fired, null where it could
/// not be evaluated. The buffers are those of the flags.
void export_flags(std::shared_ptr<const table_flags> flags, ArrowSchema& schema, ArrowArray& array);
/// As a stream of one such batch.
void export_flags(std::shared_ptr<const table_flags> flags, ArrowArrayStream& stream);
/// One of its columns.
void export_flag(std::shared_ptr<const table_flags> flags, std::size_t at, ArrowSchema& schema,
                 ArrowArray& array);

}  // namespace vitalproof::python
