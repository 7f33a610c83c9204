// Output files and the folder they appear in.
// Used by every writer. Promises files that only their owner can read, a folder that appears whole
// under its name or not at all, and that nothing but an earlier audit is ever replaced.
#pragma once

#include "write/block_writer.hpp"

#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>

namespace vitalproof::write {

/// An output could not be written: what, why, and what to do.
class output_error : public std::runtime_error {
public:
    using std::runtime_error::runtime_error;
};

/// The folder asked for may not be replaced; a mistake of usage, found before anything is written.
class folder_refused : public std::runtime_error {
public:
    using std::runtime_error::runtime_error;
};

/// A file being written, readable by its owner alone. Buffered; close() tells whether all of it
/// reached the disk.
class output_file {
public:
    /// Creates the file; throws output_error. Where it is written behind, so does what comes next
    /// after a block that failed.
    explicit output_file(const std::string& path, writing how = writing::at_once);
    ~output_file();
    output_file(const output_file&) = delete;
    output_file& operator=(const output_file&) = delete;

    void append(std::string_view text) {
        text_.append(text);
        flush_full();
    }

    /// What is not written yet; the caller puts more behind it, and then calls flush_full().
    text_block& text() { return text_; }
    void flush_full() {
        if (text_.size() >= block) {
            flush();
        }
    }

    /// Writes the rest and closes; throws output_error. Not calling it leaves the file unfinished.
    void close();

private:
    static constexpr std::size_t block = std::size_t{1} << 18;
    void flush();

    std::string path_;
    text_block text_;
    text_block rest_;
    int descriptor_ = -1;
    std::optional<block_writer> blocks_{};
};

/// A folder of results. Written beside its final place under another name and moved there by
/// publish(); without that, everything written is removed again. What a program that was killed
/// left of such a folder goes when the next audit is written to the same place.
class output_folder {
public:
    /// Makes the working folder. Throws folder_refused when `path` is a file, or a folder that
    /// holds anything but an earlier audit; output_error when it cannot be made.
    explicit output_folder(const std::string& path);
    ~output_folder();
    output_folder(const output_folder&) = delete;
    output_folder& operator=(const output_folder&) = delete;

    /// Where a file of that name is to be written.
    std::string file(std::string_view name) const;

    /// Moves the working folder to its place, replacing an earlier audit; throws output_error.
    void publish();

    const std::string& path() const { return path_; }

private:
    std::string path_;
    std::string working_;
    int lock_ = -1;  // of the working folder, as long as somebody writes to it
    bool published_ = false;
};

}  // namespace vitalproof::write
