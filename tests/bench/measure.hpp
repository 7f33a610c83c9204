// How the benchmarks measure in C++: the elapsed time of a call.
#pragma once

#include <chrono>

namespace bench {

template <class F>
double seconds_of(F&& work) {
    const auto start = std::chrono::steady_clock::now();
    work();
    const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
    return elapsed.count();
}

}  // namespace bench
