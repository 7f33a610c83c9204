// Blocks of text written to a file, behind the back of whoever makes them where it may be.
// Used by output_file. Promises the text in its order, at most as much that waits as was given at
// once, and the first error to whoever asks next.
#pragma once

#include "write/text_blocks.hpp"

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

    /// Takes what the blocks hold and leaves others, empty, with buffers to be used again. Returns
    /// the errno of what failed, of these or those before them; 0 where nothing did.
    int write(text_blocks& blocks);

    /// Takes the last blocks and waits until all is written; the same.
    int finish(text_blocks& last);

private:
    void end();
    void run();

    int descriptor_;
    writing how_;
    std::thread thread_{};

    std::mutex mutex_{};
    std::condition_variable changed_{};
    text_blocks waiting_{};  // empty where nothing waits
    bool ended_ = false;
    int error_ = 0;
};

}  // namespace vitalproof::write
