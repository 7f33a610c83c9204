// Pieces of work in a ring, filled by one thread and done by it and others, whoever is free.
// Used by the audit. Promises that pieces are begun in their order and ended in it, one at a time;
// that so many are held at most, and no more than a bound of their weight; and that what is thrown
// while one is done is thrown where they are filled.
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

class work_ring {
public:
    /// Lets a thread at work on a piece wait for those before.
    class turn {
    public:
        turn(work_ring& ring, std::uint64_t number) : ring_(ring), number_(number) {}

        /// Waits until all pieces before have ended: what is done from here on is in order.
        void wait_until_oldest() const { ring_.wait_until_oldest(number_); }

    private:
        work_ring& ring_;
        std::uint64_t number_;
    };

    /// What is done with a piece, by its place in the ring.
    struct steps {
        /// By thread `worker`, while other threads do other pieces.
        std::function<void(std::size_t piece, std::size_t worker, turn in_order)> work;
        /// After it, in the order of pieces.
        std::function<void(std::size_t piece)> end;
    };

    /// With up to that many threads beside the one that fills, which is worker 0.
    work_ring(std::size_t helpers, std::size_t pieces, std::size_t most_weight, steps what);
    /// What was not done is given up.
    ~work_ring();
    work_ring(const work_ring&) = delete;
    work_ring& operator=(const work_ring&) = delete;

    /// Which piece is being filled; nobody else looks at it.
    std::size_t filling() const { return place_of(filled_); }
    /// Hands it over, of any weight. Works on pieces as long as the ring is full.
    void hand_over(std::size_t weight);
    /// Works on until all are done.
    void finish();

private:
    using lock = std::unique_lock<std::mutex>;

    std::size_t place_of(std::uint64_t number) const {
        return static_cast<std::size_t>(number % weights_.size());
    }
    void start_helper();
    bool is_full() const;
    bool has_room() const;
    void help_until(lock& held, bool (work_ring::*enough)() const);
    bool is_all_done() const { return ended_ == filled_; }
    void begin_next(lock& held, std::size_t worker);
    void end_in_order(lock& held);
    void wait_until_oldest(std::uint64_t number);
    void tell_waiting();
    void guard(lock& held, const std::function<void()>& act);
    void rethrow();
    void run(std::size_t worker);

    steps what_;
    std::size_t helpers_;
    std::size_t most_weight_;
    std::vector<std::thread> others_{};

    std::mutex mutex_{};
    std::condition_variable more_{};     // to begin
    std::condition_variable went_on_{};  // a piece ended
    std::vector<std::size_t> weights_;
    std::vector<bool> done_;    // begun and not ended: whether its work is done
    std::uint64_t filled_ = 0;  // pieces so far
    std::uint64_t begun_ = 0;
    std::uint64_t ended_ = 0;
    std::size_t waiting_ = 0;  // weight of what was filled and has not ended
    bool is_ending_ = false;   // some thread is
    bool is_over_ = false;
    bool is_abandoned_ = false;  // something was thrown: what is left is not done any more
    std::exception_ptr thrown_{};
};

}  // namespace vitalproof::audit
