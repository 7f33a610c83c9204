#include "audit/scratch_file.hpp"

#include <fcntl.h>
#include <unistd.h>

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
    if (held_.size() >= held_at_most) {
        write_held();
    }
    return at;
}

scratch_file::~scratch_file() {
    if (descriptor_ >= 0) {
        ::close(descriptor_);
    }
}

void scratch_file::write_held() {
    if (descriptor_ < 0 && !failed_) {
        descriptor_ = open_unnamed();
    }
    failed_ = failed_ || descriptor_ < 0 || !write_all(descriptor_, held_, written_);
    written_ += held_.size();
    held_.clear();
}

void scratch_file::append_to(std::string& out, place of) {
    if (failed_) {
        return;
    }
    // A text is written whole, so it lies on one side.
    if (of.offset >= written_) {
        out.append(held_, of.offset - written_, of.size);
        return;
    }
    const std::size_t before = out.size();
    out.resize(before + of.size);
    failed_ = ::pread(descriptor_, out.data() + before, of.size, static_cast<off_t>(of.offset)) !=
              static_cast<ssize_t>(of.size);
    if (failed_) {
        out.resize(before);
    }
}

}  // namespace vitalproof::audit
