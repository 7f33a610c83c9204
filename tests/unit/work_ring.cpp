// Pieces of work by several threads: begun and ended in order, none lost, none held too long.
#include "audit/work_ring.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstddef>
#include <mutex>
#include <set>
#include <stdexcept>
#include <thread>
#include <vector>

using vitalproof::audit::work_ring;

namespace {

using namespace std::chrono_literals;

/// What became of pieces that hold numbers from 0.
struct done_pieces {
    std::vector<int> ended{};
    std::set<std::size_t> workers{};
    std::size_t most_held = 0;
};

/// Fills so many, of which every seventh takes long; `trouble(number)` may throw.
template <class Trouble>
done_pieces do_pieces(int many, std::size_t helpers, std::size_t places, std::size_t most_weight,
                      std::size_t weight, Trouble trouble) {
    done_pieces all;
    std::vector<int> pieces(places);
    std::atomic<std::size_t> held = 0;
    std::mutex workers;
    work_ring ring(helpers, places, most_weight,
                   {.work =
                        [&](std::size_t place, std::size_t by, work_ring::turn in_order) {
                            const int number = pieces[place];
                            if (number % 7 == 0) {
                                std::this_thread::sleep_for(200us);
                            }
                            trouble(number);
                            if (number % 11 == 0) {
                                in_order.wait_until_oldest();
                                all.ended.push_back(-number);
                            }
                            const std::lock_guard lock(workers);
                            all.workers.insert(by);
                        },
                    .end =
                        [&](std::size_t place) {
                            all.ended.push_back(pieces[place]);
                            --held;
                        }});
    for (int i = 0; i < many; ++i) {
        pieces[ring.filling()] = i;
        all.most_held = std::max<std::size_t>(all.most_held, ++held);
        ring.hand_over(weight);
    }
    ring.finish();
    CHECK(held == 0);
    return all;
}

const auto no_trouble = [](int) {};

}  // namespace

TEST_CASE("pieces are ended in their order, whoever does them") {
    const auto [helpers, places] = GENERATE(
        table<std::size_t, std::size_t>({{0, 1}, {0, 4}, {1, 4}, {1, 8}, {3, 4}, {3, 16}}));
    CAPTURE(helpers, places);
    constexpr int many = 500;
    const done_pieces all = do_pieces(many, helpers, places, 1000, 1, no_trouble);
    std::vector<int> ends;
    for (int i = 0; i < many; ++i) {
        if (i % 11 == 0) {
            ends.push_back(-i);
        }
        ends.push_back(i);
    }
    CHECK(all.ended == ends);
    CHECK(all.most_held <= places);
    CHECK(all.workers.size() <= helpers + 1);
    CHECK(all.workers.contains(0));  // with helpers too: work is slower than filling
}

TEST_CASE("no more weight waits than may, but for a single piece") {
    CHECK(do_pieces(200, 2, 16, 30, 10, no_trouble).most_held <= 4);
    CHECK(do_pieces(50, 2, 16, 30, 100, no_trouble).most_held == 1);
}

TEST_CASE("what is thrown while a piece is done is thrown where they are filled") {
    const std::size_t helpers = GENERATE(std::size_t{0}, std::size_t{1}, std::size_t{3});
    const int bad = GENERATE(0, 1, 57, 199);
    CAPTURE(helpers, bad);
    CHECK_THROWS_WITH(do_pieces(200, helpers, 8, 1000, 1,
                                [bad](int number) {
                                    if (number == bad) {
                                        throw std::runtime_error("no room");
                                    }
                                }),
                      "no room");
}

TEST_CASE("what was not done is given up where the filling ends early") {
    std::atomic<int> done = 0;
    {
        work_ring ring(1, 8, 1000,
                       {.work =
                            [&](std::size_t, std::size_t, work_ring::turn in_order) {
                                std::this_thread::sleep_for(20ms);
                                in_order.wait_until_oldest();
                                ++done;
                            },
                        .end = [](std::size_t) {}});
        for (int i = 0; i < 7; ++i) {
            ring.hand_over(1);
        }
    }
    CHECK(done <= 1);
}
