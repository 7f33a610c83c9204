// Follows signs through the rows of each report, from block to block.
// Used by both runners before the kernel runs. Promises the same neighbours for the same rows
// however they fall into blocks, and a look at no more than the block and the one behind it.
#pragma once

#include <vitalproof/block.hpp>

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>

namespace vitalproof::inline VITALPROOF_ABI {

/// Ways of taking a reading that give comparable values. Pressures heard, measured by a cuff or by
/// an unstated method are of one class, those felt, by Doppler or in an artery of others; so is a
/// pulse by oximeter beside all others.
inline constexpr std::size_t method_classes = 4;

/// The class of S under the facts of its row.
template <VitalSign S>
constexpr std::size_t method_class(lane_int yes) {
    const auto is = [yes](fact f) { return (yes & bit_of(f)) != 0; };
    if constexpr (S::info.id == sign_id::systolic || S::info.id == sign_id::diastolic ||
                  S::info.id == sign_id::mean_pressure) {
        return is(fact::palpated) ? 1 : is(fact::doppler) ? 2 : is(fact::arterial) ? 3 : 0;
    } else if constexpr (S::info.id == sign_id::pulse) {
        return is(fact::pulse_by_oximeter) ? 1 : 0;
    } else {
        return 0;
    }
}

class follower {
public:
    /// Fills the neighbours of the block's rows. `next` holds the rows behind them; null where
    /// there are none. Blocks come one after another.
    void fill(lane_block& block, const lane_block* next) {
        for_each_sign(followed_signs{}, [&]<VitalSign S>(S) {
            look_back<S>(block);
            look_ahead<S>(block, next);
            clear_behind<S>(block);
        });
        first_row_ += block.rows;
    }

    /// Remembers the block's rows without filling their neighbours: for whoever begins behind it.
    void pass(const lane_block& block) {
        for_each_sign(followed_signs{}, [&]<VitalSign S>(S) {
            for (std::size_t row = 0; row < block.rows; ++row) {
                if (is_number<S>(block, row)) {
                    remember(last_[followed_place<S>][method_class<S>(block.yes[row])],
                             reading_at<S>(block, row, first_row_));
                }
            }
        });
        first_row_ += block.rows;
    }

private:
    static constexpr real nothing = std::numeric_limits<real>::quiet_NaN();

    struct followed_reading {
        real value = nothing;
        real before = nothing;  // the value of the reading before this one, of the same report
        std::uint64_t row = 0;
        row_place place{};
    };
    using by_class = std::array<followed_reading, method_classes>;

    template <VitalSign S>
    static bool is_number(const lane_block& block, std::size_t row) {
        return block.states[index_of(S::info.id) * block_rows + row] ==
               state_lane(reading_state::number);
    }

    template <VitalSign S>
    static followed_reading reading_at(const lane_block& block, std::size_t row,
                                       std::uint64_t first_row) {
        return {block.values[index_of(S::info.id) * block_rows + row], nothing, first_row + row,
                block.places[row]};
    }

    static void remember(followed_reading& last, followed_reading now) {
        now.before = are_neighbours(last, now.row, now.place) ? last.value : nothing;
        last = now;
    }

    // A reading is a number, so one that was never given has no neighbours.
    static bool are_neighbours(const followed_reading& other, std::uint64_t row,
                               const row_place& place) {
        const std::uint64_t apart = other.row < row ? row - other.row : other.row - row;
        return other.value == other.value && other.place.report == place.report &&
               apart <= block_rows;
    }

    static real minutes_between(const row_place& from, const row_place& to) {
        const bool known = from.seconds != row_place::no_time && to.seconds != row_place::no_time;
        return known ? static_cast<real>(to.seconds - from.seconds) / real{60} : nothing;
    }

    template <VitalSign S>
    static real* lanes(lane_block& block, neighbour_lane which) {
        return block.neighbour_lanes.data() +
               (static_cast<std::size_t>(which) * followed_count + followed_place<S>)*block_rows;
    }

    template <VitalSign S>
    void look_back(lane_block& block) {
        real* before = lanes<S>(block, neighbour_lane::before);
        real* before_that = lanes<S>(block, neighbour_lane::before_that);
        real* since = lanes<S>(block, neighbour_lane::minutes_since);
        for (std::size_t row = 0; row < block.rows; ++row) {
            const row_place& place = block.places[row];
            followed_reading& last = last_[followed_place<S>][method_class<S>(block.yes[row])];
            const bool has_one = are_neighbours(last, first_row_ + row, place);
            before[row] = has_one ? last.value : nothing;
            before_that[row] = has_one ? last.before : nothing;
            since[row] = has_one ? minutes_between(last.place, place) : nothing;
            if (is_number<S>(block, row)) {
                remember(last, reading_at<S>(block, row, first_row_));
            }
        }
    }

    template <VitalSign S>
    void look_ahead(lane_block& block, const lane_block* next) const {
        real* after = lanes<S>(block, neighbour_lane::after);
        real* until = lanes<S>(block, neighbour_lane::minutes_until);
        by_class coming =
            next == nullptr || block.rows == 0 ? by_class{} : head_of<S>(block, *next);
        for (std::size_t row = block.rows; row-- > 0;) {
            const row_place& place = block.places[row];
            followed_reading& first = coming[method_class<S>(block.yes[row])];
            const bool has_one = are_neighbours(first, first_row_ + row, place);
            after[row] = has_one ? first.value : nothing;
            until[row] = has_one ? minutes_between(place, first.place) : nothing;
            if (is_number<S>(block, row)) {
                first = reading_at<S>(block, row, first_row_);
            }
        }
    }

    // The first readings of the rows behind the block that go on with its last report.
    template <VitalSign S>
    by_class head_of(const lane_block& block, const lane_block& next) const {
        const std::uint64_t report = block.places[block.rows - 1].report;
        std::size_t end = 0;
        while (end < next.rows && next.places[end].report == report) {
            ++end;
        }
        by_class first{};
        for (std::size_t row = end; row-- > 0;) {
            if (is_number<S>(next, row)) {
                first[method_class<S>(next.yes[row])] =
                    reading_at<S>(next, row, first_row_ + block.rows);
            }
        }
        return first;
    }

    // The kernel works on whole words.
    template <VitalSign S>
    static void clear_behind(lane_block& block) {
        const std::size_t end = (block.rows + word_rows - 1) / word_rows * word_rows;
        for (std::size_t group = 0; group < neighbour_lane_count / followed_count; ++group) {
            real* lane = lanes<S>(block, static_cast<neighbour_lane>(group));
            std::fill(lane + block.rows, lane + end, nothing);
        }
    }

    std::array<by_class, followed_count> last_{};
    std::uint64_t first_row_ = 0;
};

}  // namespace vitalproof::inline VITALPROOF_ABI
