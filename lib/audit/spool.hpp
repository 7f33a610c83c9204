// Records of any length kept apart by a key, more of them than memory holds.
// Used by the audit for what can only be told at its end. Promises memory that does not grow beyond
// some megabytes while records are added, and one part of them at a time when they are read.
#pragma once

#include "audit/scratch_file.hpp"

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::audit {

class spool {
public:
    static constexpr std::size_t parts = 256;
    static constexpr std::size_t held_of_a_part = std::size_t{4} * 1024;

    /// Adds to the part that the key's low bits say.
    void add(std::uint64_t key, std::string_view record);

    /// Everything that was added to a part, in that order, one behind the other.
    std::string part(std::size_t which);

    /// Whether the file could not be written or read: then parts are not whole.
    bool failed() const { return file_.failed(); }

private:
    struct one_part {
        std::string held{};  // not put aside yet
        std::vector<scratch_file::place> aside{};
    };

    std::vector<one_part> parts_ = std::vector<one_part>(parts);
    scratch_file file_;
};

}  // namespace vitalproof::audit
