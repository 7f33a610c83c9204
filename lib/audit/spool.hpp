// Records of any length kept apart by a key, more of them than memory holds.
// Used by the audit for what can only be told at its end. Promises memory that does not grow beyond
// some megabytes while records are added, one part of them at a time when they are read, and a file
// that has no name, is readable by nobody else and is gone with the process.
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::audit {

class spool {
public:
    static constexpr std::size_t parts = 256;
    static constexpr std::size_t held_of_a_part = 16 * 1024;

    /// Adds to the part that the key's low bits say; `more` stands right behind the record.
    void add(std::uint64_t key, std::string_view record, std::string_view more = {});

    /// Everything that was added to a part, in that order, one behind the other.
    std::string part(std::size_t which);

    /// Whether the file could not be written or read: then parts are not whole.
    bool failed() const { return failed_; }

private:
    struct piece {
        std::uint64_t offset;
        std::size_t size;
    };
    struct one_part {
        std::string held{};  // not written yet
        std::vector<piece> written{};
    };
    struct closer {
        void operator()(std::FILE* file) const { std::fclose(file); }
    };

    void write(one_part& from);

    std::vector<one_part> parts_ = std::vector<one_part>(parts);
    std::unique_ptr<std::FILE, closer> file_;
    std::uint64_t end_ = 0;
    bool failed_ = false;
};

}  // namespace vitalproof::audit
