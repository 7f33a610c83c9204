#include "audit/scratch_file.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <system_error>

namespace vitalproof::audit {

namespace {

// Without a name from the start where the file system can do that; else for a moment with one.
int open_unnamed() {
    std::error_code error;
    const std::string folder = std::filesystem::temp_directory_path(error).string();
    const int unnamed = ::open(folder.c_str(), O_TMPFILE | O_RDWR | O_CLOEXEC, 0600);
    if (unnamed >= 0 || error) {
        return unnamed;
    }
    std::string name = folder + "/vitalproof-XXXXXX";
    const int named = ::mkstemp(name.data());
    if (named >= 0) {
        ::unlink(name.c_str());
    }
    return named;
}

// A disk that fills up takes a part of what is written; the rest then fails.
bool write_all(int descriptor, std::string_view text, std::uint64_t offset) {
    while (!text.empty()) {
        const ssize_t n =
            ::pwrite(descriptor, text.data(), text.size(), static_cast<off_t>(offset));
        if (n <= 0) {
            return false;
        }
        text.remove_prefix(static_cast<std::size_t>(n));
        offset += static_cast<std::uint64_t>(n);
    }
    return true;
}

}  // namespace

scratch_file::place scratch_file::add(std::string_view text) {
    const place at{written_ + held_.size(), text.size()};
    held_.append(text);
    if (held_.size() >= block) {
        write_blocks();
    }
    return at;
}

scratch_file::~scratch_file() {
    if (descriptor_ >= 0) {
        ::close(descriptor_);
    }
}

// Whole blocks alone: the system then takes room for each in one piece.
void scratch_file::write_blocks() {
    if (descriptor_ < 0 && !failed_) {
        descriptor_ = open_unnamed();
    }
    const std::size_t whole = held_.size() / block * block;
    failed_ = failed_ || descriptor_ < 0 ||
              !write_all(descriptor_, std::string_view(held_).substr(0, whole), written_);
    written_ += whole;
    held_.erase(0, whole);
}

void scratch_file::append_to(std::string& out, place of) {
    if (failed_) {
        return;
    }
    const std::size_t aside =
        of.offset >= written_
            ? 0
            : static_cast<std::size_t>(std::min<std::uint64_t>(of.size, written_ - of.offset));
    const std::size_t before = out.size();
    out.resize(before + aside);
    failed_ = aside != 0 && ::pread(descriptor_, out.data() + before, aside,
                                    static_cast<off_t>(of.offset)) != static_cast<ssize_t>(aside);
    if (failed_) {
        out.resize(before);
    } else if (aside < of.size) {
        out.append(held_, of.offset + aside - written_, of.size - aside);
    }
}

}  // namespace vitalproof::audit
