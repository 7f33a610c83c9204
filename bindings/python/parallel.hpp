// Work shared out among threads, piece by piece.
// Used by the runners over tables. Promises that results do not depend on how many threads there
// are, and that what one of them throws reaches the caller.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <future>
#include <vector>

namespace vitalproof::python {

/// Calls `work(piece)` for every piece from 0, on up to so many threads.
template <class Work>
void share_out(std::size_t pieces, std::size_t threads, const Work& work) {
    std::atomic<std::size_t> next{0};
    const auto take = [&] {
        for (std::size_t piece = next++; piece < pieces; piece = next++) {
            work(piece);
        }
    };
    std::vector<std::future<void>> others;
    for (std::size_t i = 1; i < std::min(threads, pieces); ++i) {
        others.push_back(std::async(std::launch::async, take));
    }
    take();
    for (auto& other : others) {
        other.get();
    }
}

/// Calls `work(begin, end)` for stretches of rows that together are all of them; on one thread for
/// all at once, since a stretch begins with buffers of its own.
template <class Work>
void share_out_rows(std::size_t rows, std::size_t threads, const Work& work) {
    if (threads <= 1 && rows != 0) {
        work(std::size_t{0}, rows);
        return;
    }
    constexpr std::size_t stretch = std::size_t{1} << 15;  // a multiple of every block's rows
    share_out((rows + stretch - 1) / stretch, threads, [&](std::size_t piece) {
        work(piece * stretch, std::min(rows, (piece + 1) * stretch));
    });
}

}  // namespace vitalproof::python
