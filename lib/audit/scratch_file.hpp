// Text put aside until the end of an audit, more of it than memory should hold.
// Used by the spool and by the reviewer's page. Promises a file that has no name, is readable by
// nobody else and is gone with the process. It lies where TMPDIR says, or in /tmp.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
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

    /// The text again, put behind `out`; nothing once the file has failed. Quick where the texts
    /// asked for lie close together, one behind the other.
    void append_to(std::string& out, place of);

    /// So many bytes from there, wherever they lie. False once the file has failed.
    bool read(std::uint64_t offset, std::span<char> into);

    /// Whether the file could not be written or read: then texts are missing.
    bool failed() const { return failed_; }

private:
    static constexpr std::size_t block = std::size_t{256} * 1024;

    /// What is read at once of texts that lie close together.
    static constexpr std::size_t most_read = std::size_t{16} * 1024;

    void write_blocks();
    std::string_view look_up(std::uint64_t offset, std::size_t size);

    int descriptor_ = -1;
    std::string held_;  // not written yet; it lies at `written_`
    std::uint64_t written_ = 0;
    std::string read_;  // of what is written, from `read_from_`
    std::uint64_t read_from_ = 0;
    bool failed_ = false;
};

}  // namespace vitalproof::audit
