#include "write/block_writer.hpp"

#include "audit/quiet_thread.hpp"

#include <unistd.h>

#include <cerrno>
#include <string_view>

namespace vitalproof::write {

namespace {

int write_all(int descriptor, std::string_view rest) {
    while (!rest.empty()) {
        const ssize_t written = ::write(descriptor, rest.data(), rest.size());
        if (written < 0) {
            if (errno == EINTR) {
                continue;
            }
            return errno;
        }
        rest.remove_prefix(static_cast<std::size_t>(written));
    }
    return 0;
}

}  // namespace

int block_writer::write(text_block& block) {
    if (how_ == writing::at_once) {
        error_ = error_ != 0 ? error_ : write_all(descriptor_, block.text());
        block.clear();
        return error_;
    }
    if (!thread_.joinable()) {
        thread_ = audit::start_without_signals([this] { run(); });
    }
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return waiting_.empty(); });
    swap(waiting_, block);
    changed_.notify_all();
    return error_;
}

int block_writer::finish(text_block& last) {
    if (!thread_.joinable()) {
        how_ = writing::at_once;  // one block alone needs no thread
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
    text_block block;
    std::unique_lock lock(mutex_);
    for (;;) {
        changed_.wait(lock, [this] { return !waiting_.empty() || ended_; });
        if (waiting_.empty()) {
            return;
        }
        swap(waiting_, block);
        changed_.notify_all();
        if (error_ == 0) {
            lock.unlock();
            const int failed = write_all(descriptor_, block.text());
            lock.lock();
            error_ = failed;
        }
        block.clear();
    }
}

}  // namespace vitalproof::write
