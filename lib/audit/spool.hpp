// Short records kept apart by a number, more of them than memory holds.
// Used by the audit for what can only be told at its end. Promises memory that hardly grows while
// records are added (four bytes for each kilobyte put aside), and that a part is read block by
// block.
#pragma once

#include "audit/scratch_file.hpp"

#include <array>
#include <cstddef>
#include <cstdint>
#include <cstring>
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
        one_part& to = parts_[part];
        if (to.filling.used + record.size() > block_room) {
            put_aside(to);
        }
        std::memcpy(to.filling.bytes.data() + to.filling.used, record.data(), record.size());
        to.filling.used = static_cast<std::uint16_t>(to.filling.used + record.size());
    }

    /// Calls `each` with blocks of whole records, in the order in which they were added.
    template <class Each>
    void read_part(std::size_t part, Each&& each) {
        const one_part& from = parts_[part];
        std::string text;
        for (const std::uint32_t number : from.aside) {
            text.clear();
            file_.append_to(text, {std::uint64_t{number} * block_size, block_size});
            if (text.size() != block_size) {
                return;
            }
            block read;
            std::memcpy(&read, text.data(), block_size);
            each(read.records());
        }
        each(from.filling.records());
    }

    /// Whether the file could not be written or read: then parts are not whole.
    bool failed() const { return file_.failed(); }

private:
    static constexpr std::size_t block_room = block_size - sizeof(std::uint16_t);
    struct block {
        std::uint16_t used = 0;
        std::array<char, block_room> bytes;

        std::string_view records() const { return {bytes.data(), used}; }
    };
    static_assert(sizeof(block) == block_size && longest_record <= block_room);

    struct one_part {
        block filling{};
        std::vector<std::uint32_t> aside{};  // which blocks of the file are its own
    };

    void put_aside(one_part& part);

    std::vector<one_part> parts_ = std::vector<one_part>(parts);
    scratch_file file_;  // of whole blocks
};

}  // namespace vitalproof::audit
