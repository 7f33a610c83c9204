// How the benchmarks measure: elapsed and processor time of a call, and the median of several.
#pragma once

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <ctime>
#include <vector>

namespace bench {

/// What is compared runs this often, in turns.
inline constexpr std::size_t rounds = 5;

/// In seconds. The two part where other work holds the processor.
struct took {
    double elapsed = 0;
    double processor = 0;
};

inline double processor_seconds() {
    timespec now{};
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

template <class F>
took time_of(F&& work) {
    const auto start = std::chrono::steady_clock::now();
    const double used = processor_seconds();
    work();
    const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
    return {elapsed.count(), processor_seconds() - used};
}

/// The middle of an odd number of measurements.
inline double median(std::vector<double> measured) {
    const auto middle = measured.begin() + static_cast<std::ptrdiff_t>(measured.size() / 2);
    std::nth_element(measured.begin(), middle, measured.end());
    return *middle;
}

/// How much is done a second when `amount` takes the median of these times.
inline took rate(double amount, const std::vector<took>& measured) {
    std::vector<double> elapsed;
    std::vector<double> processor;
    for (const took& once : measured) {
        elapsed.push_back(once.elapsed);
        processor.push_back(once.processor);
    }
    return {amount / median(elapsed), amount / median(processor)};
}

}  // namespace bench
