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
    const std::size_t aside =
        of.offset >= written_
            ? 0
            : static_cast<std::size_t>(std::min<std::uint64_t>(of.size, written_ - of.offset));
    const std::string_view written = look_up(of.offset, aside);
    if (failed_) {
        return;
    }
    out.append(written);
    if (aside < of.size) {
        out.append(held_, of.offset + aside - written_, of.size - aside);
    }
}

bool scratch_file::read(std::uint64_t offset, std::span<char> into) {
    if (offset < written_) {
        const auto aside =
            static_cast<std::size_t>(std::min<std::uint64_t>(into.size(), written_ - offset));
        failed_ = failed_ || ::pread(descriptor_, into.data(), aside, static_cast<off_t>(offset)) !=
                                 static_cast<ssize_t>(aside);
        offset += aside;
        into = into.subspan(aside);
    }
    if (!failed_ && !into.empty()) {
        held_.copy(into.data(), into.size(), offset - written_);
    }
    return !failed_;
}

// With what lies behind it, since that is asked for next.
std::string_view scratch_file::look_up(std::uint64_t offset, std::size_t size) {
    if (size == 0 || failed_) {
        return {};
    }
    if (offset < read_from_ || offset + size > read_from_ + read_.size()) {
        const auto many = static_cast<std::size_t>(
            std::min<std::uint64_t>(std::max(size, most_read), written_ - offset));
        read_.resize(many);
        read_from_ = offset;
        if (!read(offset, read_)) {
            return {};
        }
    }
    return std::string_view(read_).substr(offset - read_from_, size);
}

}  // namespace vitalproof::audit
