#include "read/byte_source.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <system_error>

namespace vitalproof::read {

namespace {

std::string words_for(int code) { return std::generic_category().message(code); }

class file_source final : public byte_source {
public:
    explicit file_source(int descriptor) : descriptor_(descriptor) {}
    file_source(const file_source&) = delete;
    file_source& operator=(const file_source&) = delete;
    ~file_source() override { ::close(descriptor_); }

    std::ptrdiff_t read(char* into, std::size_t size) override {
        for (;;) {
            const ssize_t got = ::read(descriptor_, into, size);
            if (got >= 0) {
                return got;
            }
            if (errno != EINTR) {
                failure_ = errno;
                return -1;
            }
        }
    }

    std::string trouble() const override { return failure_ == 0 ? "" : words_for(failure_); }

private:
    int descriptor_;
    int failure_ = 0;
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

opened_file open_file(const std::string& path) {
    // A copy of standard input, so that closing it is closing a file like any other.
    const int descriptor = path == standard_input ? ::fcntl(STDIN_FILENO, F_DUPFD_CLOEXEC, 0)
                                                  : ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (descriptor < 0) {
        return {nullptr, "the file cannot be opened: " + words_for(errno),
                errno == ENOENT ? "check the spelling of its name" : "check that you may read it"};
    }
    auto source = std::make_unique<file_source>(descriptor);
    struct stat status {};
    if (::fstat(descriptor, &status) == 0 && S_ISDIR(status.st_mode)) {
        return {nullptr, "this is a folder", "name the files in it"};
    }
    return {std::move(source), {}, {}};
}

}  // namespace vitalproof::read
