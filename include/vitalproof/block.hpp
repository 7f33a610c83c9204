// A block of lanes: up to 256 rows of readings and context, laid out sign by sign.
// Filled from sets (record path) or from columns (array path), read by the kernel. Promises that
// both paths fill it by the same rules, so a predicate cannot tell them apart.
#pragma once

#include <vitalproof/age_limits.hpp>
#include <vitalproof/facts.hpp>
#include <vitalproof/lanes.hpp>
#include <vitalproof/neighbours.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>

namespace vitalproof::inline VITALPROOF_ABI {

/// Where a row stands: which report it belongs to, and when it was taken.
struct row_place {
    static constexpr std::int64_t no_time = std::numeric_limits<std::int64_t>::min();

    std::uint64_t report = 0;  ///< alike in the rows of one report, which follow each other
    std::int64_t seconds = no_time;
};

struct lane_block {
    alignas(64) std::array<real, sign_count * lane_stride> values;
    alignas(64) std::array<lane_int, sign_count * lane_stride> states;
    alignas(64) std::array<lane_int, block_rows> yes;
    alignas(64) std::array<lane_int, block_rows> no;
    alignas(64) std::array<real, age_limit_count * lane_stride> age_limits;
    alignas(64) std::array<real, neighbour_lane_count * lane_stride> neighbour_lanes;
    std::array<row_place, block_rows> places;
    std::size_t rows = 0;
    /// Whether `places` is filled and, before the kernel runs, `neighbour_lanes` too.
    bool followed = false;
    /// Whether the context lanes of all rows say that nothing is known: they need no second
    /// filling.
    bool nothing_known = false;
    /// The signs, a bit each, whose rows are summed up in `numbers` and `extremes` by whoever
    /// filled the block, and who vouches that every row that holds no number is absent: then the
    /// kernel need not go through their lanes.
    std::uint32_t summed_up = 0;
    std::array<block_bits, sign_count> numbers;
    /// Of each sign the lowest value of every word, then the highest.
    alignas(64) std::array<real, sign_count * 2 * block_words> extremes;
    /// Where a column goes on behind the block by another whole block, to be asked for while the
    /// checks run, since so many columns at once are more streams than a processor follows by
    /// itself; null where it does not.
    std::array<const double*, sign_count> behind{};
    /// The state that all lanes of a sign hold, or `mixed`: what is so already is not filled again.
    static constexpr lane_int mixed = -1;
    std::array<lane_int, sign_count> state_of_all = none_alike();

    /// The row's readings and context, as a predicate sees them.
    constexpr readings readings_of(std::size_t row) const {
        return {values.data() + row, states.data() + row, lane_stride};
    }
    constexpr neighbours neighbours_of(std::size_t row) const {
        return {neighbour_lanes.data() + row, lane_stride};
    }
    constexpr context context_of(std::size_t row, const sign_limits& limits) const {
        return {yes[row], no[row], age_limits.data() + row, lane_stride, limits};
    }

    bool is_summed_up(std::size_t sign) const { return (summed_up >> sign & 1U) != 0; }

    static constexpr std::array<lane_int, sign_count> none_alike() {
        std::array<lane_int, sign_count> states{};
        states.fill(mixed);
        return states;
    }
};

/// One sign's part of a block, for whoever fills it from a column.
struct column_lanes {
    real* values;
    lane_int* states;
    lane_int& state_of_all;
    block_bits& numbers;
    real* extremes;
    bool states_are_seen;  ///< else they are filled only where a value is neither number nor blank
};

/// What holds for every set of a report, resolved once.
struct report_lanes {
    facts known;
    age_limit_values age_limits;
};

constexpr report_lanes lanes_of_report(const facts& known, std::optional<age_in_years> age) {
    return {facts_of_age(age).overlaid_by(known), age_limits_of(age)};
}

namespace detail {

constexpr void put_context(lane_block& block, std::size_t row, const facts& known,
                           const age_limit_values& limits) {
    block.nothing_known = false;
    block.yes[row] = known.yes_bits();
    block.no[row] = known.no_bits();
    for (std::size_t i = 0; i < age_limit_count; ++i) {
        block.age_limits[i * lane_stride + row] = limits[i];
    }
}

}  // namespace detail

}  // namespace vitalproof::inline VITALPROOF_ABI
