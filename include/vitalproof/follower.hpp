// Follows signs through the rows of each report, from block to block.
// Used by both runners before the kernel runs. Promises the same neighbours for the same rows
// however they fall into blocks, and a look at no more than the block and the one behind it.
#pragma once

#include <vitalproof/block.hpp>

#include <algorithm>
#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
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

/// Nearly every neighbour stands in the very next row, so lanes are copied with a shift of one row,
/// and only the rows where that is wrong are looked at one by one: the first and last of a report,
/// and those beside a row without a number. Going through the rows sign by sign took 97
/// instructions a row and sign.
class follower {
public:
    /// Fills the neighbours of the block's rows. `next` holds the rows behind them; null where
    /// there are none. Blocks come one after another.
    void fill(lane_block& block, const lane_block* next) {
        if (block.rows == 0) {
            return;
        }
        mark_steps(block);
        for_each_sign(followed_signs{}, [&]<VitalSign S>(S) { fill_sign<S>(block, next); });
        first_row_ += block.rows;
    }

    /// Remembers the block's rows, for whoever begins behind it.
    void pass(lane_block& block) { fill(block, nullptr); }

private:
    static constexpr real nothing = std::numeric_limits<real>::quiet_NaN();
    static constexpr double no_time = std::numeric_limits<double>::quiet_NaN();

    struct followed_reading {
        real value = nothing;
        real before = nothing;  // the value of the reading before this one, of the same report
        std::uint64_t row = 0;
        row_place place{};
    };
    using by_class = std::array<followed_reading, method_classes>;

    // What is said of the neighbours of one sign, a value a row each.
    struct sign_lanes {
        real* before;
        real* before_that;
        real* since;
        real* after;
        real* until;
    };

    // The row of the block in which a row's neighbour stands, or one of these. What is known of
    // rows is laid out by it, so that a neighbour is fetched without asking where it stands: which
    // that is changes from row to row, and a processor guesses it badly.
    static constexpr std::size_t none = block_rows;
    static constexpr std::size_t outside = block_rows + 1;  // in another block
    template <class Known>
    using by_source = std::array<Known, block_rows + 2>;

    // Of each row and of the one behind the last.
    using bits_and_one = std::array<flag_word, block_words + 1>;

    static bool has(const bits_and_one& rows, std::size_t row) {
        return (rows[row / word_rows] >> (row % word_rows) & 1U) != 0;
    }
    static void set(bits_and_one& rows, std::size_t row, bool to) {
        rows[row / word_rows] |= flag_word{to} << (row % word_rows);
    }

    // A reading is a number, so one that was never given is of no report.
    static bool is_of_report(const followed_reading& reading, const row_place& of_row) {
        return reading.value == reading.value && reading.place.report == of_row.report;
    }
    static bool are_neighbours(const followed_reading& other, std::uint64_t row,
                               const row_place& place) {
        const std::uint64_t apart = other.row < row ? row - other.row : other.row - row;
        return is_of_report(other, place) && apart <= block_rows;
    }

    // Times as doubles, exact for longer than there have been people, so that of one that is not
    // known no minutes are reckoned without asking.
    static double time_of(const row_place& place) {
        return place.seconds == row_place::no_time ? no_time : static_cast<double>(place.seconds);
    }
    static real minutes_between(double from, double to) {
        return static_cast<real>(to - from) / real{60};
    }

    // What all signs share: which rows go on with the report of the row before, and how many
    // minutes later; and what is true of any row, or of all. Whether the first goes on with what
    // came before, and what comes behind with the last, is asked sign by sign.
    void mark_steps(const lane_block& block) {
        goes_on_ = {};
        set(goes_on_, 0, true);
        set(goes_on_, block.rows, true);
        yes_in_any_ = block.yes[0];
        yes_in_all_ = block.yes[0];
        seconds_[0] = time_of(block.places[0]);
        seconds_[none] = no_time;
        for (std::size_t row = 1; row < block.rows; ++row) {
            const row_place& place = block.places[row];
            seconds_[row] = time_of(place);
            set(goes_on_, row, block.places[row - 1].report == place.report);
            minutes_[row] = minutes_between(seconds_[row - 1], seconds_[row]);
            yes_in_any_ |= block.yes[row];
            yes_in_all_ &= block.yes[row];
        }
    }

    static constexpr std::array<lane_int, word_rows> bits_of_word = [] {
        std::array<lane_int, word_rows> bits{};
        for (std::size_t i = 0; i < word_rows; ++i) {
            bits[i] = static_cast<lane_int>(flag_word{1} << i);
        }
        return bits;
    }();

    // Written so that GCC makes vectors of it: the states are there to the end of their word.
    static block_bits numbers_of(const lane_block& block, std::size_t sign) {
        constexpr lane_int number = state_lane(reading_state::number);
        if (block.is_summed_up(sign)) {
            return block.numbers[sign];
        }
        const lane_int* states = block.states.data() + sign * block_rows;
        block_bits found{};
        for (std::size_t w = 0; w * word_rows < block.rows; ++w) {
            lane_int of_word = 0;
            for (std::size_t i = 0; i < word_rows; ++i) {
                of_word |=
                    -static_cast<lane_int>(states[w * word_rows + i] == number) & bits_of_word[i];
            }
            found[w] = static_cast<flag_word>(of_word);
        }
        return found;
    }

    static sign_lanes lanes_of(real* first, std::size_t apart) {
        const auto lane = [=](neighbour_lane which) {
            return first + static_cast<std::size_t>(which) * apart;
        };
        return {lane(neighbour_lane::before), lane(neighbour_lane::before_that),
                lane(neighbour_lane::minutes_since), lane(neighbour_lane::after),
                lane(neighbour_lane::minutes_until)};
    }

    static std::array<real*, 5> all_of(const sign_lanes& lanes) {
        return {lanes.before, lanes.before_that, lanes.since, lanes.after, lanes.until};
    }

    template <VitalSign S>
    void fill_sign(lane_block& block, const lane_block* next) {
        constexpr std::size_t sign = index_of(S::info.id);
        const real* values = block.values.data() + sign * block_rows;
        const block_bits numbers = numbers_of(block, sign);
        const by_class coming = next == nullptr ? by_class{} : head_of<S>(block, *next);
        by_class& last = last_[followed_place<S>];
        const sign_lanes lanes =
            lanes_of(block.neighbour_lanes.data() + followed_place<S> * block_rows,
                     followed_count * block_rows);
        const std::size_t only = method_class<S>(yes_in_any_);
        if (only == 0 || method_class<S>(yes_in_any_ ^ yes_in_all_) == 0) [[likely]] {
            fill_class(block, values, numbers, lanes, last[only], coming[only]);
        } else {
            for (std::size_t c = 0; c < method_classes; ++c) {
                fill_rows_of_class<S>(block, c, numbers, lanes, last[c], coming[c]);
            }
        }
        clear_behind(block, lanes);
    }

    // Where rows are of several classes: as if all were of this one, and of that its own are kept.
    template <VitalSign S>
    void fill_rows_of_class(const lane_block& block, std::size_t c, block_bits numbers,
                            const sign_lanes& lanes, followed_reading& last,
                            const followed_reading& coming) {
        block_bits own{};
        for (std::size_t row = 0; row < block.rows; ++row) {
            own[row / word_rows] |= flag_word{method_class<S>(block.yes[row]) == c}
                                    << (row % word_rows);
        }
        for (std::size_t w = 0; w < block_words; ++w) {
            numbers[w] &= own[w];
        }
        const sign_lanes made = lanes_of(of_class_.data(), block_rows);
        fill_class(block, block.values.data() + index_of(S::info.id) * block_rows, numbers, made,
                   last, coming);
        for_each_row(own, block.rows, [&](std::size_t row) {
            lanes.before[row] = made.before[row];
            lanes.before_that[row] = made.before_that[row];
            lanes.since[row] = made.since[row];
            lanes.after[row] = made.after[row];
            lanes.until[row] = made.until[row];
        });
    }

    void fill_class(const lane_block& block, const real* values, const block_bits& numbers,
                    const sign_lanes& lanes, followed_reading& last,
                    const followed_reading& coming) {
        if (have_no_neighbours(block, numbers, last, coming)) {
            for (real* lane : all_of(lanes)) {
                std::fill_n(lane, block.rows, nothing);
            }
            return;
        }
        copy_rows(values, block.rows, values_.data());
        values_[none] = nothing;
        look_back(block, values, numbers, lanes, last);
        look_ahead(block, values, numbers, lanes, coming);
        for (std::size_t w = block_words; w-- > 0;) {
            if (numbers[w] != 0) {
                const std::size_t row =
                    w * word_rows + static_cast<std::size_t>(std::bit_width(numbers[w])) - 1;
                last = {values[row], lanes.before[row], first_row_ + row, block.places[row]};
                return;
            }
        }
    }

    // A report alone is copied a whole word at a time, without a call: to copy a few rows is
    // dearer. What lies behind its rows is cleared afterwards. No two of the lanes lie over each
    // other.
    template <class Element>
    static void copy_rows(const Element* from, std::size_t count, Element* to) {
        if (count < word_rows) {
            std::memcpy(to, from, word_rows * sizeof(Element));
        } else {
            std::memcpy(to, from, count * sizeof(Element));
        }
    }

    // Nearly always so of a sign that is not charted at all.
    bool have_no_neighbours(const lane_block& block, const block_bits& numbers,
                            const followed_reading& last, const followed_reading& coming) const {
        const std::size_t end = block.rows - 1;
        return std::all_of(numbers.begin(), numbers.end(),
                           [](flag_word of_word) { return of_word == 0; }) &&
               !are_neighbours(last, first_row_, block.places[0]) &&
               !are_neighbours(coming, first_row_ + end, block.places[end]);
    }

    // Of one odd row after the other, in which row its neighbour stands. A row beside one without a
    // number has the neighbour of that one.
    struct chain {
        std::size_t row;   // the last odd row, at first the one outside
        std::size_t from;  // its neighbour's

        std::size_t goes_on_to(std::size_t odd, std::size_t beside, std::size_t beside_that,
                               bool goes_on, bool in_reach) {
            from = row == beside ? from : beside_that;
            const std::size_t kept = std::size_t{0} - std::size_t{goes_on};  // no branch to guess
            from = (from & kept) | (none & ~kept);
            from = from == outside && !in_reach ? none : from;
            row = odd;
            return from;
        }
    };

    void look_back(const lane_block& block, const real* values, const block_bits& numbers,
                   const sign_lanes& lanes, const followed_reading& last) {
        values_[outside] = last.value;
        seconds_[outside] = time_of(last.place);
        before_[none] = nothing;
        before_[outside] = last.before;
        copy_rows(values, block.rows - 1, before_.data() + 1);
        copy_rows(minutes_.data() + 1, block.rows - 1, lanes.since + 1);
        block_bits odd{};
        for (std::size_t w = 0; w < block_words; ++w) {
            const flag_word carried = w == 0 ? 0 : numbers[w - 1] >> (word_rows - 1);
            odd[w] = ~(goes_on_[w] & (numbers[w] << 1 | carried));
        }
        chain of_last{std::size_t{0} - 1, is_of_report(last, block.places[0]) ? outside : none};
        for_each_row(odd, block.rows, [&](std::size_t row) {
            const bool in_reach = first_row_ + row <= last.row + block_rows;
            const std::size_t from =
                of_last.goes_on_to(row, row - 1, row - 2, has(goes_on_, row), in_reach);
            sources_[row] = static_cast<std::uint16_t>(from);
            before_[row] = values_[from];
            lanes.since[row] = minutes_between(seconds_[from], seconds_[row]);
        });
        copy_rows(before_.data(), block.rows, lanes.before);
        copy_rows(before_.data(), block.rows - 1, lanes.before_that + 1);
        for_each_row(odd, block.rows,
                     [&](std::size_t row) { lanes.before_that[row] = before_[sources_[row]]; });
    }

    void look_ahead(const lane_block& block, const real* values, const block_bits& numbers,
                    const sign_lanes& lanes, const followed_reading& coming) {
        values_[outside] = coming.value;
        seconds_[outside] = time_of(coming.place);
        copy_rows(values + 1, block.rows - 1, lanes.after);
        copy_rows(minutes_.data() + 1, block.rows - 1, lanes.until);
        block_bits odd{};
        for (std::size_t w = block_words; w-- > 0;) {
            const flag_word carried =
                w + 1 == block_words ? 0 : goes_on_[w + 1] & numbers[w + 1] & 1U;
            odd[w] = ~((goes_on_[w] & numbers[w]) >> 1 | carried << (word_rows - 1));
        }
        chain of_coming{block.rows,
                        is_of_report(coming, block.places[block.rows - 1]) ? outside : none};
        for_each_row_backwards(odd, block.rows, [&](std::size_t row) {
            const bool in_reach = coming.row <= first_row_ + row + block_rows;
            const std::size_t from =
                of_coming.goes_on_to(row, row + 1, row + 2, has(goes_on_, row + 1), in_reach);
            lanes.after[row] = values_[from];
            lanes.until[row] = minutes_between(seconds_[row], seconds_[from]);
        });
    }

    template <class Each>
    static void for_each_row(const block_bits& rows, std::size_t count, Each&& each) {
        for (std::size_t w = 0; w * word_rows < count; ++w) {
            for (flag_word left = rows[w]; left != 0; left &= left - 1) {
                const std::size_t row =
                    w * word_rows + static_cast<std::size_t>(std::countr_zero(left));
                if (row >= count) {
                    return;
                }
                each(row);
            }
        }
    }
    template <class Each>
    static void for_each_row_backwards(const block_bits& rows, std::size_t count, Each&& each) {
        for (std::size_t w = (count + word_rows - 1) / word_rows; w-- > 0;) {
            const std::size_t here = count - w * word_rows;
            flag_word left = here < word_rows ? rows[w] & ((flag_word{1} << here) - 1) : rows[w];
            while (left != 0) {
                const auto bit = static_cast<std::size_t>(std::bit_width(left)) - 1;
                each(w * word_rows + bit);
                left ^= flag_word{1} << bit;
            }
        }
    }

    // The first readings of the rows behind the block that go on with its last report.
    template <VitalSign S>
    by_class head_of(const lane_block& block, const lane_block& next) const {
        const std::uint64_t report = block.places[block.rows - 1].report;
        const real* values = next.values.data() + index_of(S::info.id) * block_rows;
        by_class first{};
        if (next.rows == 0 || next.places[0].report != report) {
            return first;
        }
        const lane_int* states = next.states.data() + index_of(S::info.id) * block_rows;
        for (std::size_t row = 0; row < next.rows && next.places[row].report == report; ++row) {
            followed_reading& of_class = first[method_class<S>(next.yes[row])];
            if (states[row] == state_lane(reading_state::number) &&
                of_class.value != of_class.value) {
                of_class = {values[row], nothing, first_row_ + block.rows + row, next.places[row]};
            }
        }
        return first;
    }

    // The kernel works on whole words.
    static void clear_behind(const lane_block& block, const sign_lanes& lanes) {
        for (real* lane : all_of(lanes)) {
            detail::fill_to_end_of_word(lane, block.rows, nothing);
        }
    }

    std::array<by_class, followed_count> last_{};
    std::uint64_t first_row_ = 0;

    // Of the block at hand.
    bits_and_one goes_on_{};
    by_source<double> seconds_{};
    std::array<real, block_rows> minutes_{};  // since the row before
    lane_int yes_in_any_ = 0;
    lane_int yes_in_all_ = 0;
    // Of the sign at hand.
    std::array<std::uint16_t, block_rows> sources_{};
    by_source<real> values_{};
    by_source<real> before_{};
    std::array<real, 5 * block_rows> of_class_{};
};

}  // namespace vitalproof::inline VITALPROOF_ABI
