// Blocks of text written to a file, behind the back of whoever makes them where it may be.
// Used by output_file. Promises the blocks in their order, at most one that waits, and the first
// error to whoever asks next.
#pragma once

#include "write/text_block.hpp"

#include <condition_variable>
#include <mutex>
#include <thread>

namespace vitalproof::write {

/// Whether a file is written at once, or by a thread of its own while the next block is made.
enum class writing { at_once, behind };

class block_writer {
public:
    block_writer(int descriptor, writing how) : descriptor_(descriptor), how_(how) {}
    ~block_writer() { end(); }
    block_writer(const block_writer&) = delete;
    block_writer& operator=(const block_writer&) = delete;

    /// Takes a block's content and leaves an empty one with a buffer to be used again. Returns the
    /// errno of what failed, of this block or one before it; 0 where nothing did.
    int write(text_block& block);

    /// Takes the last block and waits until all is written; the same.
    int finish(text_block& last);

private:
    void end();
    void run();

    int descriptor_;
    writing how_;
    std::thread thread_{};

    std::mutex mutex_{};
    std::condition_variable changed_{};
    text_block waiting_{};  // empty where nothing waits
    bool ended_ = false;
    int error_ = 0;
};

}  // namespace vitalproof::write
