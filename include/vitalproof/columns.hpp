// The array path: the catalogue over columns of values.
// Used by programs that hold vital signs as columns, and by the Python package. Promises to read
// the caller's arrays in place, to allocate nothing per row, and to give the same answer as the
// record path for the same values.
#pragma once

#include <vitalproof/block.hpp>
#include <vitalproof/follower.hpp>
#include <vitalproof/run.hpp>

#include <algorithm>
#include <array>
#include <concepts>
#include <cstddef>
#include <memory>
#include <span>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

/// Values at a fixed distance from each other: a column, or a column of a matrix.
struct strided_values {
    const double* first = nullptr;
    std::size_t count = 0;
    std::ptrdiff_t step = 1;  ///< in values

    constexpr strided_values() = default;
    constexpr strided_values(const double* start, std::size_t n, std::ptrdiff_t by)
        : first(start), count(n), step(by) {}
    template <class Range>
    requires std::convertible_to<const Range&, std::span<const double>>
    constexpr strided_values(const Range& values)  // NOLINT: contiguous values are strided by one
        : first(std::span<const double>(values).data()), count(values.size()) {}

    constexpr double operator[](std::size_t i) const {
        return first[static_cast<std::ptrdiff_t>(i) * step];
    }
};

namespace detail {

/// A number in `Unit` as one in the unit S is held in.
template <VitalSign S, class Unit>
constexpr double to_held(double number) {
    if constexpr (std::same_as<Unit, typename S::unit>) {
        return number;
    } else if constexpr (std::same_as<Unit, units::mmol_per_l> &&
                         std::same_as<typename S::unit, units::mg_per_dl>) {
        return to_mg_per_dl(number * mmol_per_L).value();
    } else {
        return to<typename S::unit>(quantity<Unit>::from_value(number)).value();
    }
}

/// Values as readings: NaN is a blank, an infinity is unreadable. HI and LO are stated in the
/// column of states, never by an infinity. Returns whether they are summed up: every row that is
/// not a number is absent.
inline bool gather_held(const double* from, std::size_t count, const column_lanes& into) {
    if (!gather_numbers(from, count, into)) {
        return true;
    }
    into.state_of_all = lane_block::mixed;
    for (std::size_t i = 0; i < count; ++i) {
        into.values[i] = to_real(from[i]);
        if (from[i] == from[i] && from[i] - from[i] != 0) {
            into.values[i] = std::numeric_limits<real>::quiet_NaN();
            into.states[i] = state_lane(reading_state::unreadable);
        }
    }
    return false;
}

/// Values in another unit, or with gaps between them, by way of a buffer.
template <VitalSign S, class Unit>
bool gather_converted(const strided_values& column, std::size_t begin, std::size_t count,
                      const column_lanes& into) {
    std::array<double, block_rows> held{};
    for (std::size_t i = 0; i < count; ++i) {
        held[i] = to_held<S, Unit>(column[begin + i]);
    }
    return gather_held(held.data(), count, into);
}

template <VitalSign S, class Unit>
bool gather_values(const strided_values& column, std::size_t begin, std::size_t count,
                   const column_lanes& into) {
    if constexpr (std::same_as<Unit, typename S::unit>) {
        if (column.step == 1) {
            return gather_held(column.first + begin, count, into);  // where it lies
        }
    }
    return gather_converted<S, Unit>(column, begin, count, into);
}

}  // namespace detail

/// Columns of one length, each tied to its sign and unit when it is added. Holds views: the arrays
/// must outlive it.
class vital_columns {
public:
    explicit vital_columns(std::size_t rows) : rows_(rows) {}

    std::size_t rows() const { return rows_; }

    /// Adds the column of S, in `Unit`: `columns.add<sign::glucose>(values, mmol_per_L)`.
    /// `states`, where given, says which rows are HI, LO, absent or unreadable; a row stated as a
    /// number is taken from `values`. `reasons`, beside them, says why rows are absent; without
    /// them they are blank. Throws std::invalid_argument when a length is not rows().
    template <VitalSign S, class Unit>
    vital_columns& add(strided_values values, Unit /*unit*/,
                       std::span<const reading_state> states = {},
                       std::span<const absence> reasons = {}) {
        require_length(S::info.name, values.count);
        if (!states.empty()) {
            require_length(S::info.name, states.size());
        }
        if (!reasons.empty()) {
            require_length(S::info.name, reasons.size());
        }
        auto& column = columns_[index_of(S::info.id)];
        column = {values, states, reasons, &detail::gather_values<S, Unit>};
        return *this;
    }

    /// What is known of each row; throws std::invalid_argument when the length is not rows().
    vital_columns& add_known(std::span<const facts> known) {
        require_length("known", known.size());
        known_ = known;
        return *this;
    }

    /// Ages in years, NaN where unknown; throws std::invalid_argument when the length is not
    /// rows().
    vital_columns& add_ages(strided_values years) {
        require_length("age", years.count);
        ages_ = years;
        return *this;
    }

    /// Which report each row belongs to: the rows of one follow each other and have one number.
    /// Only with it are the checks asked that look at a set's neighbours. Throws
    /// std::invalid_argument when the length is not rows().
    vital_columns& add_reports(std::span<const std::uint64_t> numbers) {
        require_length("report", numbers.size());
        reports_ = numbers;
        return *this;
    }

    /// When each row was taken, in seconds from any start (exact to 2^53 of them),
    /// row_place::no_time where that is not known. Rows of a report that are not in the order of
    /// their times are no neighbours. Throws std::invalid_argument when the length is not rows().
    vital_columns& add_times(std::span<const std::int64_t> seconds) {
        require_length("time", seconds.size());
        seconds_ = seconds;
        return *this;
    }

    bool are_followed() const { return !reports_.empty(); }

    /// Fills the block with rows from `begin` on, at most a block of them. `seen` are the signs, a
    /// bit each, whose states are looked at.
    void gather(std::size_t begin, lane_block& block, std::uint32_t seen = all_signs::mask) const {
        const std::size_t end = std::min(rows_, begin + block_rows);
        block.rows = end - begin;
        std::uint32_t summed_up = 0;
        for (std::size_t sign = 0; sign < sign_count; ++sign) {
            const bool all_said = columns_[sign].gather == nullptr
                                      ? gather_nothing(sign, block)
                                      : gather_column(sign, begin, end, block, seen);
            summed_up |= std::uint32_t{all_said} << sign;
        }
        gather_context(begin, end, block);
        gather_places(begin, end, block);
        pad_rows(block);
        block.summed_up = summed_up;
    }

private:
    struct column {
        strided_values values{};
        std::span<const reading_state> states{};
        std::span<const absence> reasons{};
        bool (*gather)(const strided_values&, std::size_t, std::size_t,
                       const column_lanes&) = nullptr;
    };

    void require_length(std::string_view name, std::size_t length) const {
        if (length != rows_) {
            throw std::invalid_argument("column " + std::string(name) + " has " +
                                        std::to_string(length) + " rows, the others " +
                                        std::to_string(rows_));
        }
    }

    /// Returns whether the sign's rows are summed up.
    bool gather_column(std::size_t sign, std::size_t begin, std::size_t end, lane_block& block,
                       std::uint32_t seen) const {
        const column& from = columns_[sign];
        const bool states_are_seen = !from.states.empty() || (seen >> sign & 1U) != 0;
        const column_lanes into{block.values.data() + sign * lane_stride,
                                block.states.data() + sign * lane_stride,
                                block.state_of_all[sign],
                                block.numbers[sign],
                                block.extremes.data() + sign * 2 * block_words,
                                states_are_seen};
        block.behind[sign] = from.values.step == 1 && from.values.count >= end + block_rows
                                 ? from.values.first + end
                                 : nullptr;
        const bool summed_up = from.gather(from.values, begin, end - begin, into);
        if (from.states.empty()) {
            return summed_up;
        }
        into.state_of_all = lane_block::mixed;
        for (std::size_t i = 0; i < end - begin; ++i) {
            const absence why = from.reasons.empty() ? absence::blank : from.reasons[begin + i];
            put_state(from.states[begin + i], why, into.values[i], into.states[i]);
        }
        return false;
    }

    /// A sign without a column: filled once.
    static bool gather_nothing(std::size_t sign, lane_block& block) {
        constexpr lane_int not_carried = state_lane(reading_state::absent, absence::not_carried);
        if (block.state_of_all[sign] != not_carried) {
            constexpr real beyond = std::numeric_limits<real>::infinity();
            const auto from = static_cast<std::ptrdiff_t>(sign);
            std::fill_n(block.values.begin() + from * std::ptrdiff_t{lane_stride}, block_rows,
                        std::numeric_limits<real>::quiet_NaN());
            std::fill_n(block.states.begin() + from * std::ptrdiff_t{lane_stride}, block_rows,
                        not_carried);
            block.state_of_all[sign] = not_carried;
            block.numbers[sign] = {};
            real* lowest = block.extremes.data() + sign * 2 * block_words;
            std::fill_n(lowest, block_words, beyond);
            std::fill_n(lowest + block_words, block_words, -beyond);
        }
        return true;
    }

    static void put_state(reading_state stated, absence why, real& value, lane_int& state) {
        if (stated == reading_state::number) {
            return;
        }
        value = lane_without_number(stated);
        state = state_lane(stated, why);
    }

    void gather_context(std::size_t begin, std::size_t end, lane_block& block) const {
        if (known_.empty() && ages_.count == 0) {
            gather_no_context(block);
            return;
        }
        std::optional<age_in_years> age;
        report_lanes lanes = lanes_of_report({}, age);
        double last = std::numeric_limits<double>::quiet_NaN();
        for (std::size_t i = begin; i < end; ++i) {
            // An age repeats through a report, so it is resolved only when it changes.
            if (ages_.count != 0 && ages_[i] != last) {
                last = ages_[i];
                age = last == last ? std::optional(age_in_years(last)) : std::nullopt;
                lanes = lanes_of_report({}, age);
            }
            const facts known = known_.empty() ? lanes.known : lanes.known.overlaid_by(known_[i]);
            detail::put_context(block, i - begin, known, lanes.age_limits);
        }
    }

    void gather_places(std::size_t begin, std::size_t end, lane_block& block) const {
        block.followed = are_followed();
        for (std::size_t i = begin; i < end && block.followed; ++i) {
            block.places[i - begin] = {reports_[i],
                                       seconds_.empty() ? row_place::no_time : seconds_[i]};
        }
    }

    static void gather_no_context(lane_block& block) {
        if (!block.nothing_known) {
            block.yes.fill(0);
            block.no.fill(0);
            block.age_limits.fill(std::numeric_limits<real>::quiet_NaN());
            block.nothing_known = true;
        }
    }

    std::size_t rows_;
    std::array<column, sign_count> columns_{};
    std::span<const facts> known_{};
    strided_values ages_{};
    std::span<const std::uint64_t> reports_{};
    std::span<const std::int64_t> seconds_{};
};

/// The flags of one block of rows, starting at `first_row`.
struct block_result {
    std::size_t first_row;
    std::size_t rows;
    const block_flags& flags;
};

namespace detail {

/// Rows of which none knows its neighbours: one block is enough, and stays in the first-level
/// cache.
template <class OnBlock>
void examine_alone(const vital_columns& columns, std::size_t first, std::size_t last,
                   const limits& in_force, OnBlock&& on_block) {
    const auto block = std::make_unique<lane_block>();
    const auto flags = std::make_unique<block_flags>();
    const std::uint32_t seen = signs_seen(in_force);
    for (std::size_t row = first; row < last; row += block_rows) {
        columns.gather(row, *block, seen);
        run_catalogue(*block, in_force, *flags);
        on_block(block_result{row, block->rows, *flags});
    }
}

template <class OnBlock>
void examine_followed(const vital_columns& columns, std::size_t first, std::size_t last,
                      const limits& in_force, OnBlock&& on_block) {
    if (first >= last) {
        return;
    }
    auto block = std::make_unique<lane_block>();
    auto next = std::make_unique<lane_block>();
    const auto flags = std::make_unique<block_flags>();
    const std::uint32_t seen = signs_seen(in_force) | followed_signs::mask;
    follower followed;
    // Two blocks back: the reading before a neighbour may lie as far from it again.
    for (std::size_t back = 2; back > 0; --back) {
        if (first >= back * block_rows) {
            columns.gather(first - back * block_rows, *block, seen);
            follow(*block, nullptr, followed);
        }
    }
    columns.gather(first, *block, seen);
    for (std::size_t row = first; row < last; row += block_rows) {
        const bool more = row + block_rows < columns.rows();
        if (more) {
            columns.gather(row + block_rows, *next, seen);
            // What lies behind it is not there yet; what lies behind this block is.
            block->behind = next->behind;
        }
        follow(*block, more ? next.get() : nullptr, followed);
        run_catalogue(*block, in_force, *flags);
        on_block(block_result{row, block->rows, *flags});
        std::swap(block, next);
    }
}

}  // namespace detail

/// Runs the catalogue over the rows from `first`, a multiple of block_rows, to `last`, block by
/// block, and hands each block's flags to `on_block`. Rows outside are looked at as neighbours:
/// pieces examined by several threads give what one gives.
template <std::invocable<const block_result&> OnBlock>
void examine_rows(const vital_columns& columns, std::size_t first, std::size_t last,
                  const limits& in_force, OnBlock&& on_block) {
    if (columns.are_followed()) {
        detail::examine_followed(columns, first, last, in_force, on_block);
    } else {
        detail::examine_alone(columns, first, last, in_force, on_block);
    }
}

/// The same over all rows.
template <std::invocable<const block_result&> OnBlock>
void examine_columns(const vital_columns& columns, const limits& in_force, OnBlock&& on_block) {
    examine_rows(columns, 0, columns.rows(), in_force, on_block);
}

/// Whole columns of flags in Arrow's boolean layout, one for each check: bit i of byte i / 8.
struct flag_columns {
    std::size_t rows = 0;
    std::vector<std::vector<flag_word>> fired;      ///< by a check's place in the catalogue
    std::vector<std::vector<flag_word>> evaluated;  ///< what the check needs was there
};

/// Examines the columns into whole columns of flags: 2 bits a row and check.
inline flag_columns flag_rows(const vital_columns& columns, const limits& in_force = {}) {
    const std::size_t words = (columns.rows() + word_rows - 1) / word_rows;
    flag_columns result;
    result.rows = columns.rows();
    result.fired.assign(check_count, std::vector<flag_word>(words));
    result.evaluated.assign(check_count, std::vector<flag_word>(words));
    examine_columns(columns, in_force, [&](const block_result& block) {
        const std::size_t first = block.first_row / word_rows;
        const std::size_t used = (block.rows + word_rows - 1) / word_rows;
        const std::size_t left = block.rows % word_rows;
        for (std::size_t check = 0; check < check_count; ++check) {
            for (std::size_t w = 0; w < used; ++w) {
                const flag_word rows_of_word =
                    w + 1 == used && left != 0 ? (flag_word{1} << left) - 1 : ~flag_word{0};
                result.fired[check][first + w] = block.flags.fired[check][w] & rows_of_word;
                const bool asked = !check_of_report[check] &&
                                   (check_follows[check] == 0 || columns.are_followed());
                result.evaluated[check][first + w] =
                    asked ? block.flags.evaluated(check_needs[check], w) & rows_of_word : 0;
            }
        }
    });
    return result;
}

}  // namespace vitalproof::inline VITALPROOF_ABI
