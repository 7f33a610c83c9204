// Short records kept apart by a number, more of them than memory holds.
// Used by the audit for what can only be told at its end. Promises memory that does not grow while
// records are added, and that a part is read block by block.
#pragma once

#include "audit/scratch_file.hpp"

#include <array>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::audit {

class spool {
public:
    static constexpr std::size_t parts = 256;
    /// A block of every part fits the second-level cache: records come in no order of parts.
    static constexpr std::size_t block_size = 1024;
    static constexpr std::size_t longest_record = 64;

    /// `part` from 0; a record of `longest_record` bytes at most, never parted by blocks.
    void add(std::size_t part, std::string_view record) {
        block& to = parts_[part];
        if (to.used + record.size() > block_room) {
            put_aside(to);
        }
        std::memcpy(to.bytes.data() + to.used, record.data(), record.size());
        to.used += static_cast<std::uint32_t>(record.size());
    }

    /// Calls `each` with blocks of whole records, in the order in which they were added.
    template <class Each>
    void read_part(std::size_t part, Each&& each) {
        block read;
        for (const std::uint32_t number : blocks_of(part)) {
            if (!read_aside(number, block_size, read)) {
                return;
            }
            each(read.records());
        }
        each(parts_[part].records());
    }

    /// Whether the file could not be written or read: then parts are not whole.
    bool failed() const { return file_.failed(); }

private:
    static constexpr std::uint32_t no_block = std::numeric_limits<std::uint32_t>::max();
    struct block_head {
        std::uint32_t before = no_block;  // of the same part, by its place in the file
        std::uint32_t used = 0;
    };
    static constexpr std::size_t block_room = block_size - sizeof(block_head);
    struct block : block_head {
        std::array<char, block_room> bytes;

        std::string_view records() const { return {bytes.data(), used}; }
    };
    static_assert(sizeof(block) == block_size && longest_record <= block_room);

    void put_aside(block& filled);
    /// The blocks of a part that were put aside, the first first. Each names only the one before
    /// it: to keep a list of them all would take more and more memory.
    std::vector<std::uint32_t> blocks_of(std::size_t part);
    /// Reads so many bytes of a block.
    bool read_aside(std::uint32_t number, std::size_t size, block& into);

    std::vector<block> parts_ = std::vector<block>(parts);  // of each the block that is filled
    scratch_file file_;                                     // of whole blocks
};

}  // namespace vitalproof::audit
