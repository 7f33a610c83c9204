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

/// Words of flags. They are zero, and take no memory before one is written: most checks fire in few
/// rows.
class zeroed_words {
public:
    /// Throws std::bad_alloc.
    explicit zeroed_words(std::size_t count);

    flag_word* data() { return words_.get(); }
    const flag_word* data() const { return words_.get(); }
    flag_word& operator[](std::size_t at) { return words_[at]; }
    flag_word operator[](std::size_t at) const { return words_[at]; }

private:
    struct release {
        void operator()(flag_word* words) const;
    };
    std::unique_ptr<flag_word[], release> words_;  // NOLINT: as the system gives it
};

class table_flags {
public:
    using words = zeroed_words;

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
    void take(const block_result& block, const table& from);
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
