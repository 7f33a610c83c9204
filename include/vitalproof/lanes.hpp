// What a predicate looks at: one row of readings and its context, as views into a block of lanes.
// Used by every check and filled by both runners. Promises that a predicate reads typed
// quantities although the values lie in plain arrays, and that nothing is looked up or allocated.
#pragma once

#include <vitalproof/limits.hpp>
#include <vitalproof/reading.hpp>
#include <vitalproof/signs.hpp>

#include <array>
#include <concepts>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <utility>

namespace vitalproof::inline VITALPROOF_ABI {

/// Rows in a block: 15 signs of 256 floats fit the first-level cache together with their states.
inline constexpr std::size_t block_rows = 256;

/// From the row of one lane to the same of the next: a line of memory more than the rows take, or
/// the same rows of all lanes would share a few places of the cache and drive each other out.
inline constexpr std::size_t lane_stride = block_rows + 64 / sizeof(real);

/// Rows in a word of flags; as wide as a lane, so that flags gather in the same register.
inline constexpr std::size_t word_rows = 32;
inline constexpr std::size_t block_words = block_rows / word_rows;
using flag_word = std::uint32_t;

/// A flag for each row of a block: bit i of word w speaks of row 32 w + i.
using block_bits = std::array<flag_word, block_words>;

/// All of these, and any of these, without a branch: every operand is evaluated. Predicates use
/// them instead of && and ||, whose short circuits keep a column loop from vectorising.
template <std::same_as<bool>... B>
constexpr bool all(B... b) {
    return (static_cast<lane_int>(b) & ...) != 0;
}
template <std::same_as<bool>... B>
constexpr bool any(B... b) {
    return (static_cast<lane_int>(b) | ...) != 0;
}

/// Limits that follow from an age, one value a row; adults carry NaN, which is never reached.
enum class age_limit : std::uint8_t {
    pulse_low,
    pulse_high,
    breathing_low,
    breathing_high,
    hypotension
};
inline constexpr std::size_t age_limit_count = 5;

/// A value as a predicate sees it. Clamped so that a huge number stays a number; a NaN stays NaN.
constexpr real to_real(double value) {
    constexpr double most = std::numeric_limits<real>::max();
    if ((value < 0 ? -value : value) > most) [[unlikely]] {
        return static_cast<real>(value < 0 ? -most : most);
    }
    return static_cast<real>(value);
}

/// The value lane of a reading that is no number: above and below as infinities, so that
/// comparisons with a limit come out true to meaning; else NaN.
constexpr real lane_without_number(reading_state state) {
    constexpr real beyond = std::numeric_limits<real>::infinity();
    return state == reading_state::above   ? beyond
           : state == reading_state::below ? -beyond
                                           : std::numeric_limits<real>::quiet_NaN();
}

/// The state lane of a reading: its state, and for an absence why. One number, so that a predicate
/// tells "blank" from "refused" in one comparison.
constexpr lane_int state_lane(reading_state state, absence why = absence::not_carried) {
    return lane_int{reading_code(state, why)};
}

/// The values of one row and nothing else: of a set, or the lowest or highest of many sets.
class row_values {
public:
    constexpr row_values(const real* values, std::size_t stride)
        : values_(values), stride_(stride) {}

    /// The value of S. A number where the check needs S; else it may be NaN (no value) or an
    /// infinity (HI, LO), for which every comparison is false or true as it should be.
    template <VitalSign S>
    constexpr lane_value_of<S> value() const {
        return lane_value_of<S>::from_value(values_[index_of(S::info.id) * stride_]);
    }

    /// The bare value by sign, for evidence and messages.
    constexpr real raw(sign_id id) const { return values_[index_of(id) * stride_]; }

protected:
    const real* values_;
    std::size_t stride_;
};

/// One row of readings.
class readings : public row_values {
public:
    constexpr readings(const real* values, const lane_int* states, std::size_t stride)
        : row_values(values, stride), states_(states) {}

    template <VitalSign S>
    constexpr bool is(reading_state state) const {
        return lane<S>() == state_lane(state);
    }

    /// Absent for this reason.
    template <VitalSign S>
    constexpr bool is(absence why) const {
        return lane<S>() == state_lane(reading_state::absent, why);
    }

    template <VitalSign S>
    constexpr bool is_at(responsiveness_level level) const {
        return value<S>().value() == static_cast<real>(level);
    }

    constexpr lane_int state(sign_id id) const { return states_[index_of(id) * stride_]; }

private:
    template <VitalSign S>
    constexpr lane_int lane() const {
        return states_[index_of(S::info.id) * stride_];
    }

    const lane_int* states_;
};

/// Below or above the range. NaN is neither.
constexpr bool is_beyond(const bounds& range, real value) {
    return any(value<range.low, value> range.high);
}

/// Beyond what can be measured, whatever is known.
template <VitalSign S>
constexpr bool is_impossible(const sign_limits& limits, lane_value_of<S> value) {
    return is_beyond(limits.possible[index_of(S::info.id)], value.value());
}

/// Outside the narrowest of the believable ranges of S, whatever is known: a value that is not
/// is believable in every patient.
template <VitalSign S>
constexpr bool is_doubtful_for_some(const sign_limits& limits, lane_value_of<S> value) {
    bounds narrowest = limits.believable[index_of(S::info.id)];
    for (std::size_t i = 0; i < believable_exceptions.size(); ++i) {
        if (believable_exceptions[i].sign == S::info.id) {
            const bounds& other = limits.believable_when[i];
            narrowest.low = narrowest.low < other.low ? other.low : narrowest.low;
            narrowest.high = narrowest.high > other.high ? other.high : narrowest.high;
        }
    }
    return is_beyond(narrowest, value.value());
}

/// What is known of one row, and the limits for single readings under what is known.
class context {
public:
    constexpr context(lane_int yes, lane_int no, const real* age_limits, std::size_t stride,
                      const sign_limits& limits)
        : yes_(yes), no_(no), age_limits_(age_limits), stride_(stride), limits_(&limits) {}

    constexpr bool is(fact f) const { return (yes_ & bit_of(f)) != 0; }
    constexpr bool is_not(fact f) const { return (no_ & bit_of(f)) != 0; }

    /// A limit of this row's age. NaN for adults and unknown ages: ask `is(fact::child)` first.
    template <class Unit>
    constexpr quantity<Unit, real> of_age(age_limit which) const {
        return quantity<Unit, real>::from_value(
            age_limits_[static_cast<std::size_t>(which) * stride_]);
    }

    template <VitalSign S>
    constexpr bool is_possible(lane_value_of<S> value) const {
        return inside<S>(limits_->possible[index_of(S::info.id)], value);
    }

    /// Inside the believable range; where a fact replaces that range, inside the replacement.
    /// NaN is outside every range.
    template <VitalSign S>
    constexpr bool is_believable(lane_value_of<S> value) const {
        return believable<S>(value, std::make_index_sequence<believable_exceptions.size()>{});
    }

    constexpr const sign_limits& limits() const { return *limits_; }
    constexpr facts known() const { return facts::from_bits(yes_, no_); }

private:
    template <VitalSign S>
    static constexpr bool inside(const bounds& range, lane_value_of<S> value) {
        return all(value.value() >= range.low, value.value() <= range.high);
    }

    template <VitalSign S, std::size_t... I>
    constexpr bool believable(lane_value_of<S> value, std::index_sequence<I...>) const {
        const bool general = inside<S>(limits_->believable[index_of(S::info.id)], value);
        const bool replaced = any(replaces<S, I>()...);
        return any(all(general, !replaced),
                   all(replaces<S, I>(), inside<S>(limits_->believable_when[I], value))...);
    }

    template <VitalSign S, std::size_t I>
    constexpr bool replaces() const {
        if constexpr (believable_exceptions[I].sign == S::info.id) {
            return is(believable_exceptions[I].when);
        } else {
            return false;
        }
    }

    lane_int yes_;
    lane_int no_;
    const real* age_limits_;
    std::size_t stride_;
    const sign_limits* limits_;
};

}  // namespace vitalproof::inline VITALPROOF_ABI
