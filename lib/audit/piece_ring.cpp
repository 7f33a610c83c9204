#include "audit/piece_ring.hpp"

#include "audit/quiet_thread.hpp"

#include <utility>

namespace vitalproof::audit {

piece_ring::piece_ring(std::size_t pieces, std::size_t most_weight,
                       std::function<void(std::size_t)> take)
    : take_(std::move(take)), most_weight_(most_weight), weights_(pieces) {}

piece_ring::~piece_ring() {
    {
        const std::lock_guard lock(mutex_);
        abandoned_ = true;
    }
    end();
}

void piece_ring::hand_over(std::size_t weight) {
    if (!other_.joinable()) {
        other_ = start_without_signals([this] { take_pieces(); });
    }
    std::unique_lock lock(mutex_);
    weights_[filling()] = weight;
    waiting_ += weight;
    ++filled_;
    more_.notify_one();
    if (filled_ - taken_ == weights_.size() || waiting_ > most_weight_) {
        room_.wait(lock, [this] { return has_room(); });
    }
    if (thrown_) {
        std::rethrow_exception(std::exchange(thrown_, {}));
    }
}

// Who waits for room waits until half of the ring is free, not for the next piece that is taken: to
// sleep and wake for every piece costs more than to fill it.
bool piece_ring::has_room() const {
    return filled_ - taken_ <= weights_.size() / 2 && waiting_ <= most_weight_;
}

void piece_ring::take_pieces() {
    for (;;) {
        std::unique_lock lock(mutex_);
        more_.wait(lock, [this] { return taken_ != filled_ || ended_; });
        if (taken_ == filled_) {
            return;
        }
        const auto next = static_cast<std::size_t>(taken_ % weights_.size());
        const bool abandoned = abandoned_;
        lock.unlock();
        std::exception_ptr thrown;
        try {
            if (!abandoned) {
                take_(next);
            }
        } catch (...) {
            thrown = std::current_exception();
        }
        lock.lock();
        if (thrown) {
            thrown_ = thrown;
            abandoned_ = true;
        }
        waiting_ -= weights_[next];
        ++taken_;
        if (has_room()) {
            room_.notify_one();
        }
    }
}

void piece_ring::end() {
    if (other_.joinable()) {
        {
            const std::lock_guard lock(mutex_);
            ended_ = true;
        }
        more_.notify_one();
        other_.join();
    }
}

void piece_ring::finish() {
    end();
    if (thrown_) {
        std::rethrow_exception(std::exchange(thrown_, {}));
    }
}

}  // namespace vitalproof::audit
