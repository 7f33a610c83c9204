// Where in a report the reading before or after one stands.
// Used for evidence and for explanations, which are made of findings only. Promises the rules of
// the follower: a number of the same sign taken in a comparable way.
#pragma once

#include <vitalproof/care_report.hpp>
#include <vitalproof/follower.hpp>

#include <cstddef>
#include <optional>

namespace vitalproof::inline VITALPROOF_ABI {

/// The place of the set that holds the neighbour of S, `step` 1 or -1 away from `set` on; none
/// where no set up to `most` away does. Places count from 0.
template <VitalSign S>
std::optional<std::size_t> neighbour_of(const care_report& report, std::size_t set,
                                        std::ptrdiff_t step, std::size_t most = block_rows) {
    const auto class_of = [&](std::size_t i) {
        return method_class<S>(
            report.known
                .overlaid_by(facts_of_methods(report.sets[i]).overlaid_by(report.sets[i].known))
                .yes_bits());
    };
    const std::size_t own = class_of(set);
    for (std::size_t away = 1; away <= most; ++away) {
        const std::size_t at = set + static_cast<std::size_t>(step) * away;
        if (at >= report.sets.size()) {  // below zero too: it wraps
            break;
        }
        if (report.sets[at][S{}].is_number() && class_of(at) == own) {
            return at;
        }
    }
    return std::nullopt;
}

}  // namespace vitalproof::inline VITALPROOF_ABI
