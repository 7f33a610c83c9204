#include "write/block_writer.hpp"

#include "audit/quiet_thread.hpp"

#include <sys/uio.h>

#include <algorithm>
#include <cerrno>
#include <string_view>
#include <vector>

namespace vitalproof::write {

namespace {

// In one call where that is taken whole: the system then takes room for all in one piece.
int write_all(int descriptor, const text_blocks& blocks) {
    std::vector<iovec> rest;
    blocks.for_each([&](std::string_view text) {
        rest.push_back({const_cast<char*>(text.data()), text.size()});
    });
    for (auto next = rest.begin(); next != rest.end();) {
        if (next->iov_len == 0) {
            ++next;
            continue;
        }
        const ssize_t written = ::writev(descriptor, &*next, static_cast<int>(rest.end() - next));
        if (written < 0) {
            if (errno == EINTR) {
                continue;
            }
            return errno;
        }
        for (auto left = static_cast<std::size_t>(written); left != 0;) {
            const std::size_t of_this = std::min(left, next->iov_len);
            next->iov_base = static_cast<char*>(next->iov_base) + of_this;
            next->iov_len -= of_this;
            left -= of_this;
            next += next->iov_len == 0 ? 1 : 0;
        }
    }
    return 0;
}

}  // namespace

int block_writer::write(text_blocks& blocks) {
    if (how_ == writing::at_once) {
        error_ = error_ != 0 ? error_ : write_all(descriptor_, blocks);
        blocks.clear();
        return error_;
    }
    if (!thread_.joinable()) {
        thread_ = audit::start_without_signals([this] { run(); });
    }
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return waiting_.empty(); });
    std::swap(waiting_, blocks);
    changed_.notify_all();
    return error_;
}

int block_writer::finish(text_blocks& last) {
    if (!thread_.joinable()) {
        how_ = writing::at_once;  // what is given at once needs no thread
    }
    write(last);
    end();
    return error_;
}

void block_writer::end() {
    if (thread_.joinable()) {
        {
            const std::lock_guard lock(mutex_);
            ended_ = true;
        }
        changed_.notify_all();
        thread_.join();
    }
}

void block_writer::run() {
    text_blocks blocks;
    std::unique_lock lock(mutex_);
    for (;;) {
        changed_.wait(lock, [this] { return !waiting_.empty() || ended_; });
        if (waiting_.empty()) {
            return;
        }
        std::swap(waiting_, blocks);
        changed_.notify_all();
        if (error_ == 0) {
            lock.unlock();
            const int failed = write_all(descriptor_, blocks);
            lock.lock();
            error_ = failed;
        }
        blocks.clear();
    }
}

}  // namespace vitalproof::write
