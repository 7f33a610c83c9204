// Text put aside until the end of an audit, more of it than memory should hold.
// Used by the spool and by the reviewer's page. Promises a file that has no name, is readable by
// nobody else and is gone with the process. It lies where TMPDIR says, or in /tmp.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace vitalproof::audit {

class scratch_file {
public:
    scratch_file() = default;
    ~scratch_file();
    scratch_file(const scratch_file&) = delete;
    scratch_file& operator=(const scratch_file&) = delete;

    /// Where a text lies.
    struct place {
        std::uint64_t offset = 0;
        std::size_t size = 0;
    };

    place add(std::string_view text);

    /// The text again, put behind `out`; nothing once the file has failed.
    void append_to(std::string& out, place of);

    /// Whether the file could not be written or read: then texts are missing.
    bool failed() const { return failed_; }

private:
    static constexpr std::size_t block = std::size_t{256} * 1024;

    void write_blocks();

    int descriptor_ = -1;
    std::string held_;  // not written yet; it lies at `written_`
    std::uint64_t written_ = 0;
    bool failed_ = false;
};

}  // namespace vitalproof::audit
