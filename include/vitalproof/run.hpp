// Runs the catalogue over a block: the one place where predicates meet values.
// Used by both runners. Promises the same bits from the header-only and the compiled library, on
// every processor: neither fuses nor reorders floating-point operations.
#pragma once

#include <vitalproof/block.hpp>
#include <vitalproof/catalogue.hpp>
#include <vitalproof/follower.hpp>
#include <vitalproof/vital_set.hpp>

#include <algorithm>
#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>
#include <utility>

#if defined(VITALPROOF_COMPILED)
#define VITALPROOF_KERNEL __attribute__((visibility("default")))
#else
#define VITALPROOF_KERNEL inline
#endif

namespace vitalproof::inline VITALPROOF_ABI {

/// What the kernel found in a block, in the layout of an Arrow boolean column. Bits past the
/// block's rows are meaningless in `numbers` and zero in `fired` for every check that needs a
/// number.
struct block_flags {
    std::array<block_bits, check_count> fired;
    std::array<block_bits, sign_count> numbers;
    std::array<bool, check_count> any_fired;
    bool any_fired_at_all = true;  ///< else all of `fired` is zero
    std::uint32_t any_number;      ///< the signs, a bit each, of which any row is a number
    std::uint32_t any_odd;         ///< and those of which any is above, below or unreadable

    /// Rows of a word in which every sign of the mask is a number.
    constexpr flag_word evaluated(std::uint32_t needs, std::size_t word) const {
        flag_word rows = ~flag_word{0};
        for (std::size_t sign = 0; sign < sign_count; ++sign) {
            if ((needs >> sign & 1U) != 0) {
                rows &= numbers[sign][word];
            }
        }
        return rows;
    }

    /// The same of all words.
    constexpr block_bits evaluated(std::uint32_t needs) const {
        block_bits rows{};
        rows.fill(~flag_word{0});
        for (; needs != 0; needs &= needs - 1) {
            const block_bits& of_sign = numbers[static_cast<std::size_t>(std::countr_zero(needs))];
            for (std::size_t word = 0; word < block_words; ++word) {
                rows[word] &= of_sign[word];
            }
        }
        return rows;
    }

    constexpr bool can_evaluate(std::uint32_t needs) const { return (needs & ~any_number) == 0; }
    constexpr bool has_odd(std::uint32_t sees) const { return (sees & any_odd) != 0; }
};

namespace detail {

template <class C>
constexpr std::uint32_t needs_mask() {
    if constexpr (ReportCheck<C>) {
        return 0;
    } else {
        return C::needs::mask;
    }
}
template <class C>
constexpr std::uint32_t sees_mask() {
    if constexpr (ReportCheck<C>) {
        return 0;
    } else {
        return C::sees::mask;
    }
}
template <class... C>
constexpr std::array<std::uint32_t, sizeof...(C)> needs_of(check_list<C...>) {
    return {needs_mask<C>()...};
}
template <class... C>
constexpr std::array<std::uint32_t, sizeof...(C)> sees_of(check_list<C...>) {
    return {sees_mask<C>()...};
}
template <class... C>
constexpr std::array<bool, sizeof...(C)> of_report(check_list<C...>) {
    return {ReportCheck<C>...};
}

template <class C>
constexpr std::uint32_t follows_mask() {
    if constexpr (NeighbourCheck<C>) {
        return C::follows::mask;
    } else {
        return 0;
    }
}
template <class... C>
constexpr std::array<std::uint32_t, sizeof...(C)> follows_of(check_list<C...>) {
    return {follows_mask<C>()...};
}

}  // namespace detail

/// The signs each check needs as numbers, and those it looks at in any state, by its place.
inline constexpr auto check_needs = detail::needs_of(catalogue{});
inline constexpr auto check_sees = detail::sees_of(catalogue{});
/// The signs whose neighbours each check looks at; none for a check of one set.
inline constexpr auto check_follows = detail::follows_of(catalogue{});
/// Whether a check is asked of whole reports only.
inline constexpr auto check_of_report = detail::of_report(catalogue{});

/// The places of those in the catalogue.
inline constexpr auto checks_of_reports = [] {
    std::array<std::size_t, std::ranges::count(check_of_report, true)> places{};
    std::size_t count = 0;
    for (std::size_t check = 0; check < check_count; ++check) {
        if (check_of_report[check]) {
            places[count++] = check;
        }
    }
    return places;
}();

/// The signs, a bit each, whose states any check looks at that is on.
inline std::uint32_t signs_seen(const limits& in_force) {
    std::uint32_t seen = 0;
    for (std::size_t check = 0; check < check_count; ++check) {
        seen |= in_force.is_on(check) ? check_sees[check] : 0;
    }
    return seen;
}

// What goes over rows: in the compiled library once for each processor level, chosen at run time;
// else vectorised as the caller's own compiler options allow. None of it throws or allocates.

/// Runs every check that is on over the block's rows; the block must be padded to whole words.
VITALPROOF_KERNEL void run_catalogue(const lane_block& block, const limits& in_force,
                                     block_flags& flags);

/// Turns contiguous values, at most a block of them, into lanes and sums them up: NaN is a blank.
/// The lanes are written to the end of their word. Returns whether any value was an infinity or too
/// large for a lane, which the caller then mends.
VITALPROOF_KERNEL bool gather_numbers(const double* from, std::size_t count,
                                      const column_lanes& into);

/// Puts the readings of sets of one report into rows of the block, from `row` on.
VITALPROOF_KERNEL void put_readings(lane_block& block, std::size_t row,
                                    std::span<const vital_set> sets);

/// Fills the rows from `block.rows` to the end of their word with absent readings of which nothing
/// is known, so that the kernel always works on whole words.
VITALPROOF_KERNEL void pad_rows(lane_block& block);

/// Fills the neighbours of the block's rows, to the end of their word. `next` holds the rows behind
/// them; null where there are none. Blocks come one after another: `followed` remembers those
/// before. The same neighbours for the same rows however they fall into blocks, and a look at no
/// more than the block and the one behind it.
VITALPROOF_KERNEL void follow(lane_block& block, const lane_block* next, follower& followed);

#if !defined(VITALPROOF_COMPILED)

namespace detail {
#include <vitalproof/detail/kernel.inc>
}  // namespace detail

void run_catalogue(const lane_block& block, const limits& in_force, block_flags& flags) {
    detail::run_checks(catalogue{}, block, in_force, flags);
}

bool gather_numbers(const double* from, std::size_t count, const column_lanes& into) {
    return detail::gather_lanes(from, count, into);
}

void put_readings(lane_block& block, std::size_t row, std::span<const vital_set> sets) {
    detail::put_signs(all_signs{}, block, row, sets.data(), sets.size());
}

void pad_rows(lane_block& block) { detail::pad_lanes(block); }

void follow(lane_block& block, const lane_block* next, follower& followed) {
    detail::follow_signs(detail::signs_to_follow{}, block, next, followed);
}

#endif

/// Puts sets of one report into rows of the block, from `row` on. A set's own facts outrank its
/// report's.
inline void put_rows(lane_block& block, std::size_t row, std::span<const vital_set> sets,
                     const report_lanes& report) {
    block.summed_up = 0;
    block.state_of_all = lane_block::none_alike();
    put_readings(block, row, sets);
    for (const vital_set& set : sets) {
        const facts of_set = facts_of_methods(set).overlaid_by(set.known);
        detail::put_context(block, row++, report.known.overlaid_by(of_set), report.age_limits);
    }
}

/// The same for one set.
inline void put_row(lane_block& block, std::size_t row, const vital_set& set,
                    const report_lanes& report) {
    put_rows(block, row, {&set, 1}, report);
}

}  // namespace vitalproof::inline VITALPROOF_ABI
