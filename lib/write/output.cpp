#include "write/output.hpp"

#include "write/names.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <system_error>
#include <utility>

namespace vitalproof::write {

namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const std::string& path, int error) {
    const std::string remedy = error == ENOSPC   ? "Free some space"
                               : error == EACCES ? "Choose a folder you may write to"
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

}  // namespace

output_file::output_file(const std::string& path) : path_(path) {
    descriptor_ = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (descriptor_ < 0) {
        fail(path, errno);
    }
}

output_file::~output_file() {
    if (descriptor_ >= 0) {
        ::close(descriptor_);
    }
}

void output_file::flush() {
    std::string_view rest = buffer_;
    while (!rest.empty()) {
        const ssize_t written = ::write(descriptor_, rest.data(), rest.size());
        if (written < 0) {
            if (errno == EINTR) {
                continue;
            }
            fail(path_, errno);
        }
        rest.remove_prefix(static_cast<std::size_t>(written));
    }
    buffer_.clear();
}

void output_file::close() {
    flush();
    const int descriptor = std::exchange(descriptor_, -1);
    if (::close(descriptor) != 0) {
        fail(path_, errno);
    }
}

output_folder::output_folder(const std::string& path) {
    fs::path asked = fs::path(path).lexically_normal();
    if (!asked.has_filename()) {
        asked = asked.parent_path();
    }
    path_ = asked.string();
    require_replaceable(asked);
    std::error_code error;
    if (asked.has_parent_path()) {
        fs::create_directories(asked.parent_path(), error);
    }
    working_ = path_ + ".unfinished-" + std::to_string(::getpid());
    fs::remove_all(working_, error);
    if (::mkdir(working_.c_str(), 0700) != 0) {
        fail(path_, errno);
    }
}

output_folder::~output_folder() {
    if (!published_) {
        std::error_code ignored;
        fs::remove_all(working_, ignored);
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
