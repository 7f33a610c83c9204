// The sets of a report in the order of their times.
// Used before reports are examined. Promises to keep the order of equal times, to leave alone what
// cannot be ordered, and to note which set was charted out of order.
#pragma once

#include <vitalproof/care_report.hpp>

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <numeric>
#include <utility>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

namespace detail {

// What checks of the order need to know once the sets are put in it: the first set behind the one
// charted above it, of those that no monitor sent. A report charted whole from its last set to its
// first is in order, the other way round.
inline void note_order(std::vector<vital_set>& sets) {
    const auto at = [&](std::size_t i) { return seconds_of(*sets[i].taken_at); };
    const auto sent = [&](std::size_t i) { return sets[i].known.is(fact::captured); };
    bool newest_first = true;
    std::size_t first_behind = 0;
    for (std::size_t i = 1; i < sets.size(); ++i) {
        newest_first = newest_first && at(i) <= at(i - 1);
        if (first_behind == 0 && at(i) < at(i - 1) && !sent(i) && !sent(i - 1)) {
            first_behind = i;
        }
    }
    if (!newest_first && first_behind != 0 && sets.size() > 2) {
        sets[first_behind].behind = std::chrono::seconds(at(first_behind - 1) - at(first_behind));
    }
}

template <class T>
void rearrange(std::vector<T>& all, const std::vector<std::size_t>& order) {
    if (all.empty()) {
        return;
    }
    std::vector<T> arranged;
    arranged.reserve(all.size());
    for (const std::size_t i : order) {
        arranged.push_back(std::move(all[i]));
    }
    all = std::move(arranged);
}

}  // namespace detail

/// Puts the sets in the order of their times, and their places with them; as they are where one has
/// no time. Once in order, they stay as they are.
inline void put_in_order(care_report& report) {
    const auto timed = [](const vital_set& set) { return set.taken_at.has_value(); };
    const auto at = [](const vital_set& set) { return seconds_of(*set.taken_at); };
    if (!std::ranges::all_of(report.sets, timed) || std::ranges::is_sorted(report.sets, {}, at)) {
        return;
    }
    detail::note_order(report.sets);
    std::vector<std::size_t> order(report.sets.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::ranges::stable_sort(order, {}, [&](std::size_t i) { return at(report.sets[i]); });
    detail::rearrange(report.sets, order);
    detail::rearrange(report.places, order);
}

}  // namespace vitalproof::inline VITALPROOF_ABI
