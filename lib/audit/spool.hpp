// Short records kept apart by a number, more of them than memory holds.
// Used by the audit for what can only be told at its end. Promises memory that does not grow while
// records are added, and that a part is read block by block.
#pragma once

#include "audit/scratch_file.hpp"

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>
#include <type_traits>
#include <utility>
#include <vector>

namespace vitalproof::audit {

template <class Record>
class spool {
    static_assert(std::is_trivially_copyable_v<Record>);

public:
    static constexpr std::size_t parts = 256;
    /// What the system holds of a file in one piece. Records come in no order of parts, so of every
    /// part the cache holds the line that is written.
    static constexpr std::size_t block_size = 4096;
    static constexpr std::size_t records_of_block =
        (block_size - 2 * sizeof(std::uint32_t)) / sizeof(Record);

    /// A record will soon be added to that part: where it may stand is fetched meanwhile.
    void expect(std::size_t part) const {
        __builtin_prefetch(parts_[part].records.data() + counts_[part], 1);
    }

    /// `part` from 0.
    void add(std::size_t part, const Record& record) {
        std::uint32_t& count = counts_[part];
        if (count == records_of_block) [[unlikely]] {
            put_aside(part);
        }
        parts_[part].records[count++] = record;
    }

    /// Calls `each` with every record of a part, the one added last first: a block names only the
    /// one before it, since a list of them all would take more and more memory.
    template <class Each>
    void read_part_backwards(std::size_t part, Each&& each) {
        block now = parts_[part];
        now.count = counts_[part];
        for (;;) {
            for (std::size_t i = now.count; i > 0; --i) {
                each(now.records[i - 1]);
            }
            if (now.before == no_block || !read_aside(now.before, now)) {
                return;
            }
        }
    }

    /// Whether the file could not be written or read: then parts are not whole.
    bool failed() const { return file_.failed(); }

private:
    static constexpr std::uint32_t no_block = std::numeric_limits<std::uint32_t>::max();
    struct alignas(64) block {
        std::uint32_t before = no_block;  // of the same part, by its place in the file
        std::uint32_t count = 0;          // when it is put aside
        std::array<Record, records_of_block> records;
    };
    static_assert(sizeof(block) == block_size);

    [[gnu::noinline]] void put_aside(std::size_t part) {
        block& filled = parts_[part];
        filled.count = std::exchange(counts_[part], 0);
        const scratch_file::place at =
            file_.add({reinterpret_cast<const char*>(&filled), block_size});
        filled.before = static_cast<std::uint32_t>(at.offset / block_size);
    }

    bool read_aside(std::uint32_t number, block& into) {
        return file_.read(std::uint64_t{number} * block_size,
                          {reinterpret_cast<char*>(&into), block_size});
    }

    std::vector<block> parts_ = std::vector<block>(parts);  // of each the block that is filled
    // Of each how many records that block has: apart, since they are looked at record by record,
    // and a block is seldom in the cache.
    std::array<std::uint32_t, parts> counts_{};
    scratch_file file_;  // of whole blocks
};

}  // namespace vitalproof::audit
