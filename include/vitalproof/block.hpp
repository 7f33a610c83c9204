// A block of lanes: up to 256 rows of readings and context, laid out sign by sign.
// Filled from sets (record path) or from columns (array path), read by the kernel. Promises that
// both paths fill it by the same rules, so a predicate cannot tell them apart.
#pragma once

#include <vitalproof/age_limits.hpp>
#include <vitalproof/lanes.hpp>
#include <vitalproof/neighbours.hpp>
#include <vitalproof/vital_set.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>

namespace vitalproof::inline VITALPROOF_ABI {

/// Where a row stands: which report it belongs to, and when it was taken.
struct row_place {
    static constexpr std::int64_t no_time = std::numeric_limits<std::int64_t>::min();

    std::uint64_t report = 0;  ///< alike in the rows of one report, which follow each other
    std::int64_t seconds = no_time;
};

struct lane_block {
    alignas(64) std::array<real, sign_count * block_rows> values;
    alignas(64) std::array<lane_int, sign_count * block_rows> states;
    alignas(64) std::array<lane_int, block_rows> yes;
    alignas(64) std::array<lane_int, block_rows> no;
    alignas(64) std::array<real, age_limit_count * block_rows> age_limits;
    alignas(64) std::array<real, neighbour_lane_count * block_rows> neighbour_lanes;
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
        return {values.data() + row, states.data() + row, block_rows};
    }
    constexpr neighbours neighbours_of(std::size_t row) const {
        return {neighbour_lanes.data() + row, block_rows};
    }
    constexpr context context_of(std::size_t row, const sign_limits& limits) const {
        return {yes[row], no[row], age_limits.data() + row, block_rows, limits};
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

// Readings beyond a device's span are rare, so lanes are gone through a second time for them.
[[gnu::noinline]] constexpr void put_beyond(lane_block& block, std::size_t at, std::size_t count) {
    for (const std::size_t end = at + count; at < end; ++at) {
        for (const reading_state state : {reading_state::above, reading_state::below}) {
            if (block.states[at] == state_lane(state)) {
                block.values[at] = lane_without_number(state);
            }
        }
    }
}

constexpr void put_context(lane_block& block, std::size_t row, const facts& known,
                           const age_limit_values& limits) {
    block.nothing_known = false;
    block.yes[row] = known.yes_bits();
    block.no[row] = known.no_bits();
    for (std::size_t i = 0; i < age_limit_count; ++i) {
        block.age_limits[i * block_rows + row] = limits[i];
    }
}

}  // namespace detail

/// Puts sets of one report into rows of the block, from `row` on. A set's own facts outrank its
/// report's. Sign by sign, since the lanes of one row lie where they drive each other out of the
/// first-level cache.
constexpr void put_rows(lane_block& block, std::size_t row, std::span<const vital_set> sets,
                        const report_lanes& report) {
    block.summed_up = 0;
    block.state_of_all = lane_block::none_alike();
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        constexpr std::size_t lane = index_of(S::info.id) * block_rows;
        std::size_t at = lane + row;
        bool beyond = false;
        for (const vital_set& set : sets) {
            // A branch on whether it is a number would be mispredicted for every sign charted now
            // and then.
            const auto& reading = set[s];
            block.values[at] = to_real(reading.raw());
            const lane_int code{reading.code()};
            block.states[at] = code;
            beyond |= any(code == state_lane(reading_state::above),
                          code == state_lane(reading_state::below));
            ++at;
        }
        if (beyond) [[unlikely]] {
            detail::put_beyond(block, lane + row, sets.size());
        }
    });
    for (const vital_set& set : sets) {
        const facts of_set = facts_of_methods(set).overlaid_by(set.known);
        detail::put_context(block, row++, report.known.overlaid_by(of_set), report.age_limits);
    }
}

/// The same for one set.
constexpr void put_row(lane_block& block, std::size_t row, const vital_set& set,
                       const report_lanes& report) {
    put_rows(block, row, {&set, 1}, report);
}

namespace detail {

/// Fills from a row to the end of its word, by eights: of a report alone most of a word is padding.
template <class Element>
constexpr void fill_to_end_of_word(Element* lane, std::size_t row, Element with) {
    for (; row % 8 != 0; ++row) {
        lane[row] = with;
    }
    for (; row % word_rows != 0; row += 8) {
        for (std::size_t i = 0; i < 8; ++i) {
            lane[row + i] = with;
        }
    }
}

}  // namespace detail

/// Fills the rows from `block.rows` to the end of their word with absent readings of which nothing
/// is known, so that the kernel always works on whole words.
constexpr void pad_rows(lane_block& block) {
    constexpr real nothing = std::numeric_limits<real>::quiet_NaN();
    if (block.rows % word_rows == 0) {
        return;
    }
    for (std::size_t lane = 0; lane < sign_count * block_rows; lane += block_rows) {
        detail::fill_to_end_of_word(block.values.data() + lane, block.rows, nothing);
        detail::fill_to_end_of_word(block.states.data() + lane, block.rows,
                                    state_lane(reading_state::absent));
    }
    block.state_of_all = lane_block::none_alike();
    detail::fill_to_end_of_word(block.yes.data(), block.rows, lane_int{0});
    detail::fill_to_end_of_word(block.no.data(), block.rows, lane_int{0});
    for (std::size_t lane = 0; lane < age_limit_count * block_rows; lane += block_rows) {
        detail::fill_to_end_of_word(block.age_limits.data() + lane, block.rows, nothing);
    }
}

}  // namespace vitalproof::inline VITALPROOF_ABI
