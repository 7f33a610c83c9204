// Times of day that stand beside the day of their call, which may have gone on past midnight.
// Used by the readers of tables, report by report, with the sets as the source has them. Promises
// that nothing moves but by whole days, and only where a report has one day.
#pragma once

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <optional>

namespace vitalproof::read {

/// Moves the times of one report, all put on the day of its call, so that none lies more than
/// twelve hours from the one before it: 00:02 behind 23:50 is of the next day, and so is what
/// stands before 23:50 where the latest comes first. `at(i)` gives the i-th time, null where it has
/// none. True where any was moved. That no two sets of a call lie half a day apart is common
/// practice, no source.
template <class At>
bool move_past_midnight(std::size_t count, At&& at) {
    using namespace std::chrono;
    constexpr hours half_a_day{12};
    const auto go_through = [&](auto&& take) {
        std::optional<local_seconds> last;
        days moved{0};
        for (std::size_t i = 0; i < count; ++i) {
            if (local_seconds* const time = at(i)) {
                const local_seconds charted = *time;
                if (last && floor<days>(*last) != floor<days>(charted)) {
                    return;
                }
                moved += days(!last                          ? 0
                              : charted < *last - half_a_day ? 1
                              : charted > *last + half_a_day ? -1
                                                             : 0);
                last = charted;
                take(*time, moved);
            }
        }
    };
    days least{0};
    days most{0};
    std::size_t timed = 0;
    go_through([&](const local_seconds&, days moved) {
        least = std::min(least, moved);
        most = std::max(most, moved);
        ++timed;
    });
    for (std::size_t i = 0; i < count; ++i) {
        timed -= at(i) != nullptr ? 1U : 0U;
    }
    if (timed != 0 || least == most) {
        return false;  // of several days, or on one
    }
    go_through([&](local_seconds& time, days moved) { time += moved - least; });
    return true;
}

}  // namespace vitalproof::read
