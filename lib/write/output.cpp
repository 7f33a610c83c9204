#include "write/output.hpp"

#include "write/names.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <csignal>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <system_error>
#include <utility>
#include <vector>

namespace vitalproof::write {

namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const std::string& path, int error) {
    const std::string remedy = error == ENOSPC || error == EDQUOT ? "Free some space"
                               : error == EACCES || error == EROFS
                                   ? "Choose a folder you may write to"
                                   : "Check the folder";
    throw output_error(path + " could not be written: " + std::strerror(error) + ". " + remedy +
                       " and run the audit again; nothing was left half-written.");
}

/// Only what an audit writes may be swept away with it.
void require_replaceable(const fs::path& path) {
    std::error_code error;
    const fs::file_status status = fs::status(path, error);
    if (!fs::exists(status)) {
        return;
    }
    if (!fs::is_directory(status)) {
        throw folder_refused(path.string() + " is a file. Give --into the name of a folder.");
    }
    bool empty = true;
    bool has_account = false;
    for (const auto& entry : fs::directory_iterator(path, error)) {
        const std::string name = entry.path().filename().string();
        empty = false;
        has_account = has_account || name == account_name;
        if (std::ranges::find(output_names, name) == output_names.end()) {
            throw folder_refused(path.string() + " holds \"" + name +
                                 "\", which no audit wrote. Give --into a new or empty folder.");
        }
    }
    if (error) {
        throw folder_refused(path.string() + " cannot be looked into: " + error.message() +
                             ". Give --into another folder.");
    }
    if (!empty && !has_account) {
        throw folder_refused(path.string() + " is not an earlier audit (it has no " +
                             std::string(account_name) + "). Give --into a new or empty folder.");
    }
}

constexpr std::string_view unfinished = ".unfinished-";

/// Whether a folder of that name was some program's working folder for `path`, and that program is
/// no more.
bool is_abandoned(const fs::path& folder, const fs::path& path) {
    const std::string name = folder.filename().string();
    const std::string begin = path.filename().string() + std::string(unfinished);
    pid_t by = 0;
    const auto [end, error] =
        name.starts_with(begin)
            ? std::from_chars(name.data() + begin.size(), name.data() + name.size(), by)
            : std::from_chars_result{nullptr, std::errc::invalid_argument};
    return error == std::errc{} && end == name.data() + name.size() && by > 0 &&
           ::kill(by, 0) != 0 && errno == ESRCH;
}

/// Removes a working folder unless somebody, on another machine perhaps, still holds it, or it has
/// anything in it that no audit writes.
void remove_abandoned(const fs::path& folder) {
    const int held = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    if (held < 0) {
        return;
    }
    std::error_code ignored;
    if (::flock(held, LOCK_EX | LOCK_NB) == 0 &&
        std::ranges::all_of(fs::directory_iterator(folder, ignored), [](const auto& entry) {
            const std::string name = entry.path().filename().string();
            return std::ranges::find(output_names, name) != output_names.end();
        })) {
        fs::remove_all(folder, ignored);
    }
    ::close(held);
}

void remove_all_abandoned(const fs::path& path) {
    std::error_code ignored;
    const fs::path parent = path.has_parent_path() ? path.parent_path() : fs::path(".");
    std::vector<fs::path> found;
    for (const auto& entry : fs::directory_iterator(parent, ignored)) {
        if (is_abandoned(entry.path(), path)) {
            found.push_back(entry.path());
        }
    }
    std::ranges::for_each(found, remove_abandoned);
}

/// Two folders change places in one step, where the file system can do that.
bool swap_places(const std::string& a, const std::string& b) {
    return ::renameat2(AT_FDCWD, a.c_str(), AT_FDCWD, b.c_str(), RENAME_EXCHANGE) == 0;
}

}  // namespace

output_file::output_file(const std::string& path, writing how) : path_(path) {
    descriptor_ = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (descriptor_ < 0) {
        fail(path, errno);
    }
    blocks_.emplace(descriptor_, how);
}

output_file::~output_file() {
    blocks_.reset();
    if (descriptor_ >= 0) {
        ::close(descriptor_);
    }
}

// Whole blocks alone: the system then takes room for each in one piece.
void output_file::flush() {
    const std::size_t whole = text_.size() / block * block;
    rest_.clear();
    rest_.append(text_.text().substr(whole));
    text_.shrink_to(whole);
    if (const int error = blocks_->write(text_); error != 0) {
        fail(path_, error);
    }
    text_.append(rest_.text());
}

void output_file::close() {
    if (const int error = blocks_->finish(text_); error != 0) {
        fail(path_, error);
    }
    struct stat status {};
    const bool removed = ::fstat(descriptor_, &status) == 0 && status.st_nlink == 0;
    const int descriptor = std::exchange(descriptor_, -1);
    if (::close(descriptor) != 0) {
        fail(path_, errno);
    }
    if (removed) {  // by somebody else, while it was written
        fail(path_, ENOENT);
    }
}

output_folder::output_folder(const std::string& path) {
    fs::path asked = fs::path(path).lexically_normal();
    if (!asked.has_filename()) {
        asked = asked.parent_path();
    }
    if (!asked.has_filename() || asked.filename() == "." || asked.filename() == "..") {
        throw folder_refused("\"" + path + "\" is no name of a folder. Give --into one.");
    }
    std::error_code error;
    if (fs::is_symlink(asked, error) && fs::is_directory(asked, error)) {
        asked = fs::canonical(asked);  // the folder is replaced, not the link to it
    }
    path_ = asked.string();
    require_replaceable(asked);
    if (asked.has_parent_path() && !fs::create_directories(asked.parent_path(), error) && error) {
        fail(path_, error.value());
    }
    remove_all_abandoned(asked);
    working_ = path_ + std::string(unfinished) + std::to_string(::getpid());
    fs::remove_all(working_, error);
    if (::mkdir(working_.c_str(), 0700) != 0) {
        fail(path_, errno);
    }
    lock_ = ::open(working_.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    ::flock(lock_, LOCK_EX | LOCK_NB);
}

output_folder::~output_folder() {
    if (!published_) {
        std::error_code ignored;
        fs::remove_all(working_, ignored);
    }
    if (lock_ >= 0) {
        ::close(lock_);
    }
}

std::string output_folder::file(std::string_view name) const {
    return working_ + "/" + std::string(name);
}

void output_folder::publish() {
    std::error_code error;
    const std::string earlier = working_ + ".earlier";
    const bool replaces = fs::exists(path_, error);
    if (replaces) {
        require_replaceable(path_);  // it may have changed while the audit ran
        if (swap_places(working_, path_)) {
            published_ = true;
            fs::remove_all(working_, error);
            return;
        }
        fs::rename(path_, earlier, error);
    }
    if (!error) {
        fs::rename(working_, path_, error);
    }
    if (error) {
        std::error_code ignored;
        if (replaces && !fs::exists(path_, ignored)) {
            fs::rename(earlier, path_, ignored);
        }
        fail(path_, error.value());
    }
    published_ = true;
    fs::remove_all(earlier, error);
}

}  // namespace vitalproof::write
