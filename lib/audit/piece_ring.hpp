// A ring of pieces of work, filled by one thread and taken by another.
// Used by the audit where it may use two threads. Promises that pieces are taken in their order,
// that so many wait at most and no more than a bound of their weight, and that what is thrown while
// one is taken is thrown where they are filled.
#pragma once

#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace vitalproof::audit {

class piece_ring {
public:
    /// `take` is called by the other thread, which begins with the first piece.
    piece_ring(std::size_t pieces, std::size_t most_weight, std::function<void(std::size_t)> take);
    /// What was not taken is given up.
    ~piece_ring();
    piece_ring(const piece_ring&) = delete;
    piece_ring& operator=(const piece_ring&) = delete;

    /// Which piece is being filled; no other thread looks at it.
    std::size_t filling() const { return static_cast<std::size_t>(filled_ % weights_.size()); }
    /// Hands it over, of any weight. Waits until another is free to be filled.
    void hand_over(std::size_t weight);
    /// Waits until all are taken.
    void finish();

private:
    bool has_room() const;
    void take_pieces();
    void end();

    std::function<void(std::size_t)> take_;
    std::size_t most_weight_;
    std::thread other_{};

    std::mutex mutex_{};
    std::condition_variable more_{};  // to be taken
    std::condition_variable room_{};  // to be filled
    std::vector<std::size_t> weights_;
    std::uint64_t filled_ = 0;
    std::uint64_t taken_ = 0;
    std::size_t waiting_ = 0;  // of weight
    bool ended_ = false;
    bool abandoned_ = false;  // something was thrown: what is left is not taken any more
    std::exception_ptr thrown_{};
};

}  // namespace vitalproof::audit
