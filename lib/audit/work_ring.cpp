#include "audit/work_ring.hpp"

#include "audit/quiet_thread.hpp"

#include <utility>

namespace vitalproof::audit {

namespace {

/// Thrown to leave a piece whose turn will not come.
struct abandoned {};

}  // namespace

work_ring::work_ring(std::size_t helpers, std::size_t pieces, std::size_t most_weight, steps what)
    : what_(std::move(what)),
      helpers_(helpers),
      most_weight_(most_weight),
      weights_(pieces),
      done_(pieces) {}

work_ring::~work_ring() {
    {
        const std::lock_guard held(mutex_);
        is_abandoned_ = true;
        is_over_ = true;
    }
    more_.notify_all();
    went_on_.notify_all();
    for (std::thread& other : others_) {
        other.join();
    }
}

void work_ring::hand_over(std::size_t weight) {
    lock held(mutex_);
    weights_[filling()] = weight;
    waiting_ += weight;
    ++filled_;
    if (others_.size() < helpers_ && filled_ - begun_ > 1) {
        start_helper();
    }
    if (!others_.empty()) {
        more_.notify_one();
    }
    if (is_full()) {
        help_until(held, &work_ring::has_room);
    }
    held.unlock();
    rethrow();
}

// One more, where pieces wait: a short input needs none.
void work_ring::start_helper() {
    const std::size_t worker = others_.size() + 1;
    others_.push_back(start_without_signals([this, worker] { run(worker); }));
}

bool work_ring::is_full() const {
    return filled_ - ended_ == weights_.size() || waiting_ > most_weight_;
}

// Whoever fills works until half of the ring is free, not for one piece alone: to change from one
// to the other for each, or to sleep and wake, costs more than to fill it. In a ring of one piece
// that is until it is done.
bool work_ring::has_room() const {
    return filled_ - ended_ <= weights_.size() / 2 && waiting_ <= most_weight_;
}

void work_ring::help_until(lock& held, bool (work_ring::*enough)() const) {
    while (!(this->*enough)()) {
        if (begun_ != filled_) {
            begin_next(held, 0);
        } else {
            went_on_.wait(held);
        }
    }
}

void work_ring::run(std::size_t worker) {
    lock held(mutex_);
    for (;;) {
        more_.wait(held, [this] { return begun_ != filled_ || is_over_; });
        if (begun_ == filled_) {
            return;
        }
        begin_next(held, worker);
    }
}

void work_ring::begin_next(lock& held, std::size_t worker) {
    const std::uint64_t number = begun_++;
    const std::size_t piece = place_of(number);
    guard(held, [&] { what_.work(piece, worker, turn(*this, number)); });
    done_[piece] = true;
    end_in_order(held);
}

// By whichever thread finds the oldest done, and all that are done behind it.
void work_ring::end_in_order(lock& held) {
    if (is_ending_) {
        return;
    }
    is_ending_ = true;
    while (ended_ != begun_ && done_[place_of(ended_)]) {
        const std::size_t piece = place_of(ended_);
        guard(held, [&] { what_.end(piece); });
        done_[piece] = false;
        waiting_ -= weights_[piece];
        ++ended_;
        tell_waiting();
    }
    is_ending_ = false;
}

void work_ring::wait_until_oldest(std::uint64_t number) {
    lock held(mutex_);
    went_on_.wait(held, [&] { return ended_ == number || is_abandoned_; });
    if (is_abandoned_) {
        throw abandoned{};
    }
}

void work_ring::tell_waiting() {
    if (!others_.empty()) {
        went_on_.notify_all();
    }
}

void work_ring::guard(lock& held, const std::function<void()>& act) {
    if (is_abandoned_) {
        return;
    }
    held.unlock();
    std::exception_ptr thrown;
    try {
        act();
    } catch (const abandoned&) {
        // By another, whose exception is kept.
    } catch (...) {
        thrown = std::current_exception();
    }
    held.lock();
    if (thrown && !is_abandoned_) {
        thrown_ = thrown;
        is_abandoned_ = true;
        went_on_.notify_all();
    }
}

void work_ring::rethrow() {
    const lock held(mutex_);
    if (thrown_) {
        std::rethrow_exception(std::exchange(thrown_, {}));
    }
}

void work_ring::finish() {
    lock held(mutex_);
    help_until(held, &work_ring::is_all_done);
    held.unlock();
    rethrow();
}

}  // namespace vitalproof::audit
