#include "read/byte_source.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdint>
#include <cstring>
#include <system_error>

namespace vitalproof::read {

namespace {

std::string words_for(int code) { return std::generic_category().message(code); }

bool is_to_stop(const std::atomic<bool>* stop) {
    return stop != nullptr && stop->load(std::memory_order_relaxed);
}

// Whether reading may go on: false once it is to stop. Asked anew a few times a second, because a
// signal may come between the look and the wait.
bool wait_for_bytes(int descriptor, const std::atomic<bool>* stop) {
    constexpr int milliseconds = 100;
    pollfd waiting{descriptor, POLLIN, 0};
    while (stop != nullptr) {
        if (is_to_stop(stop)) {
            return false;
        }
        const int ready = ::poll(&waiting, 1, milliseconds);
        if (ready > 0 || (ready < 0 && errno != EINTR)) {
            break;  // what is wrong, if anything, reading tells
        }
    }
    return true;
}

std::ptrdiff_t read_some(int descriptor, char* into, std::size_t size) {
    ssize_t got = 0;
    do {
        got = ::read(descriptor, into, size);
    } while (got < 0 && errno == EINTR);
    return got;
}

/// A pipe, a terminal, a device: what comes until it ends.
class stream_source final : public byte_source {
public:
    stream_source(int descriptor, const std::atomic<bool>* stop)
        : descriptor_(descriptor), stop_(stop) {}
    stream_source(const stream_source&) = delete;
    stream_source& operator=(const stream_source&) = delete;
    ~stream_source() override { ::close(descriptor_); }

    std::ptrdiff_t read(char* into, std::size_t size) override {
        std::ptrdiff_t got = 0;
        do {
            if (!wait_for_bytes(descriptor_, stop_)) {
                trouble_ = stopped_on_request;
                return -1;
            }
            got = read_some(descriptor_, into, size);
        } while (got < 0 && errno == EAGAIN && stop_ != nullptr);
        if (got < 0) {
            trouble_ = words_for(errno);
        }
        return got;
    }

    std::string trouble() const override { return trouble_; }

private:
    int descriptor_;
    const std::atomic<bool>* stop_;
    std::string trouble_;
};

/// A file on a disk, as it was when it was opened.
class file_source final : public byte_source {
public:
    file_source(int descriptor, const struct stat& opened, off_t from,
                const std::atomic<bool>* stop)
        : descriptor_(descriptor),
          opened_(opened),
          rest_(static_cast<std::uint64_t>(opened.st_size - from)),
          stop_(stop) {}
    file_source(const file_source&) = delete;
    file_source& operator=(const file_source&) = delete;
    ~file_source() override { ::close(descriptor_); }

    std::ptrdiff_t read(char* into, std::size_t size) override {
        if (is_to_stop(stop_)) {
            trouble_ = stopped_on_request;
            return -1;
        }
        const auto most = static_cast<std::size_t>(std::min<std::uint64_t>(size, rest_));
        const std::ptrdiff_t got = most == 0 ? 0 : read_some(descriptor_, into, most);
        if (got < 0) {
            trouble_ = words_for(errno);
        } else if (got == 0 && size != 0 && has_changed()) {
            trouble_ = "it was written to while it was read";
            return -1;
        }
        rest_ -= static_cast<std::uint64_t>(std::max<std::ptrdiff_t>(got, 0));
        return got;
    }

    std::string trouble() const override { return trouble_; }

private:
    bool has_changed() const {
        struct stat now {};
        return rest_ != 0 || ::fstat(descriptor_, &now) != 0 || now.st_size != opened_.st_size ||
               now.st_mtim.tv_sec != opened_.st_mtim.tv_sec ||
               now.st_mtim.tv_nsec != opened_.st_mtim.tv_nsec;
    }

    int descriptor_;
    struct stat opened_;
    std::uint64_t rest_;
    const std::atomic<bool>* stop_;
    std::string trouble_;
};

}  // namespace

std::ptrdiff_t memory_source::read(char* into, std::size_t size) {
    const std::size_t given = std::min(size, rest_.size());
    if (given != 0) {
        std::memcpy(into, rest_.data(), given);
    }
    rest_.remove_prefix(given);
    return static_cast<std::ptrdiff_t>(given);
}

std::string shown_name(const std::string& path) {
    return path == standard_input ? "standard input" : path;
}

opened_file open_file(const std::string& path, const std::atomic<bool>* stop) {
    // A copy of standard input, so that closing it is closing a file like any other. A named pipe
    // is opened without waiting for its writer, where the wait for bytes can be stopped instead.
    const int how = O_RDONLY | O_CLOEXEC | (stop != nullptr ? O_NONBLOCK : 0);
    const int descriptor = path == standard_input ? ::fcntl(STDIN_FILENO, F_DUPFD_CLOEXEC, 0)
                                                  : ::open(path.c_str(), how);
    if (descriptor < 0) {
        return {nullptr, "the file cannot be opened: " + words_for(errno),
                errno == ENOENT ? "check the spelling of its name" : "check that you may read it"};
    }
    struct stat status {};
    const bool known = ::fstat(descriptor, &status) == 0;
    if (known && S_ISDIR(status.st_mode)) {
        ::close(descriptor);
        return {nullptr, "this is a folder", "name the files in it"};
    }
    // Files that a kernel makes up say that they have no bytes; standard input may be half read.
    const off_t from = known && S_ISREG(status.st_mode) ? ::lseek(descriptor, 0, SEEK_CUR) : -1;
    if (from >= 0 && status.st_size > from) {
        return {std::make_unique<file_source>(descriptor, status, from, stop), {}, {}};
    }
    return {std::make_unique<stream_source>(descriptor, stop), {}, {}};
}

}  // namespace vitalproof::read
