// A reading that passes every limit and yet is a slip to all appearance: it stands out from its
// neighbours, and with one slip of its digits undone it would lie among them.
// Used by the catalogue. Promises notices for the reviewer only, one figure that says how probable
// the slip must be, the same as for what is offered (`explain.offered`, `together`), and silence
// where an arrest, a treatment or an airway attempt may be the reason, or where pulse and pressure
// fall together or both halves of a pressure move: a digit moves one alone.
//
// The model is the explainer's (likelihood.hpp) without the other readings of the set: how well a
// number goes with the readings before and after and with people, and how often such a slip is
// made. What is compared are squares of likelihoods, which needs no root.
#pragma once

#include <vitalproof/checks/among_neighbours.hpp>
#include <vitalproof/explain/slip.hpp>
#include <vitalproof/explain/spreads.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

/// To the nearest whole number, without a branch, by an addition that leaves no room for fractions
/// nor for those of a number a little below zero.
constexpr real nearest_whole(real value) {
    constexpr real no_room_for_fractions = 12582912;
    return (value + no_room_for_fractions) - no_room_for_fractions;
}

/// Rounds down. `share` is a little less than a half of the steps that fractions come in: of whole
/// numbers over ten a tenth, so 0.45.
constexpr real rounded_down(real value, real share) { return nearest_whole(value - share); }

constexpr real one_if(bool so) { return static_cast<real>(static_cast<lane_int>(so)); }

/// The digits of a whole number below a thousand; zeros in front.
struct three_digits {
    real hundreds;
    real tens;  ///< all of them: 11 of 118
    real middle;
    real units;

    constexpr explicit three_digits(real value)
        : hundreds(rounded_down(value * real{0.01F}, real{0.495F})),
          tens(rounded_down(value * real{0.1F}, real{0.45F})),
          middle(tens - 10 * hundreds),
          units(value - 10 * tens) {}
};

constexpr bool is_whole_below_a_thousand(real value) {
    return all(rounded_down(value, real{0.25F}) == value, value >= 1, value < 1000);
}

/// Neighbours farther apart in time tell nothing (common practice, no source).
inline constexpr minutes_value an_hour = minutes_value::from_value(60);

/// Nearer than so many usual steps a reading lies among its neighbours, and farther it stands out
/// (chosen; none that is likely to be a slip lies nearer).
inline constexpr real usual_steps_out = 3;

/// One reading beside those of its neighbours that can be compared: which of two numbers goes
/// better with them and with people. A joint Student's t of four degrees of freedom for the steps
/// to both (one restless moment moves both), another for people, of adults.
template <VitalSign S>
class beside_neighbours {
public:
    constexpr beside_neighbours(const readings& r, const neighbours& n, const context& c)
        : has_before_(all(is_within(n.since<S>(), an_hour), is_comparable<S>(c, n.before<S>()))),
          has_after_(all(is_within(n.until<S>(), an_hour), is_comparable<S>(c, n.after<S>()))),
          adult_(one_if(!c.is(fact::child))),
          counts_before_(one_if(has_before_)),
          counts_after_(one_if(has_after_)),
          both_(counts_before_ * counts_after_) {
        constexpr real nothing = 0;  // no number that could grow without bounds
        charted_ = is_comparable<S>(c, r.value<S>()) ? r.value<S>().value() : nothing;
        const real before = has_before_ ? n.before<S>().value() : nothing;
        const real after = has_after_ ? n.after<S>().value() : nothing;
        // What is not there is put where the other stands, and counts for nothing.
        before_ = before + (1 - counts_before_) * after;
        after_ = after + (1 - counts_after_) * before;
        wide_before_ = 1 + widening * (has_before_ ? n.since<S>().value() : nothing);
        wide_after_ = 1 + widening * (has_after_ ? n.until<S>().value() : nothing);
        strange_ = strangeness(charted_);
    }

    constexpr real charted() const { return charted_; }
    /// Where it would lie as its neighbours do.
    constexpr real middle() const { return (before_ + after_) * real{0.5F}; }

    /// Whether it lies on one side of the neighbours that can be compared; and of the readings
    /// before, where only those are there, the last two agree.
    constexpr bool is_beyond_those(real before_that) const {
        constexpr real agree = usual_movement<S>().agree;
        const real apart = before_that - before_;
        return all(any(has_before_, has_after_),
                   any(all(charted_ > before_, charted_ > after_),
                       all(charted_ < before_, charted_ < after_)),
                   any(has_after_, all(!(apart > agree), !(-apart > agree))));
    }

    /// Whether `meant` lies among the neighbours, and goes with them and with people so much better
    /// than what is charted that a slip made once in `against` readings is likelier than none.
    constexpr bool is_beaten_by(real meant, real against) const {
        const real from_before = (meant - before_) * a_step;
        const real from_after = (meant - after_) * a_step;
        return all(counts_before_ * from_before * from_before <=
                       usual_steps_out * usual_steps_out * wide_before_,
                   counts_after_ * from_after * from_after <=
                       usual_steps_out * usual_steps_out * wide_after_,
                   strange_ >= against * against * strangeness(meant));
    }

private:
    static constexpr sign_spread spread = adult_spreads[index_of(S::info.id)];
    static constexpr real a_step = static_cast<real>(1 / spread.step);
    static constexpr real widening = static_cast<real>(spread.step_a_minute * spread.step_a_minute /
                                                       (spread.step * spread.step));
    static constexpr real aside = static_cast<real>((1 / spread.above + 1 / spread.below) / 2);
    static constexpr real lopsided = static_cast<real>((1 / spread.above - 1 / spread.below) / 2);

    /// Of one over the likelihood the square, but for a factor that all numbers share.
    constexpr real strangeness(real number) const {
        const real from_before = (number - before_) * a_step;
        const real from_after = (number - after_) * a_step;
        const real steps = 4 * wide_before_ * wide_after_ +
                           counts_before_ * wide_after_ * from_before * from_before +
                           counts_after_ * wide_before_ * from_after * from_after;
        const real off = number - static_cast<real>(spread.middle);
        const real size = off < 0 ? -off : off;
        const real z = off * aside + size * lopsided;
        const real people = 1 + adult_ * z * z * real{0.25F};
        const real squared = people * steps;
        return squared * squared * squared * squared * squared * (1 + both_ * (steps - 1));
    }

    bool has_before_;
    bool has_after_;
    real adult_;
    real counts_before_;
    real counts_after_;
    real both_;
    real charted_{};
    real before_{};
    real after_{};
    real wide_before_{};
    real wide_after_{};
    real strange_{};
};

/// How many readings one slip in a certain way is made in, times the odds that are asked for; none
/// are enough where they shall be certain.
constexpr real readings_for(const explaining_limits& l, slip which) {
    const real left = l.together < 100 ? 100 - l.together : real{0};
    return l.together * 100 / (left * l.rates[static_cast<std::size_t>(which)]);
}

template <VitalSign S>
constexpr bool fits_transposed(const beside_neighbours<S>& beside, const explaining_limits& l) {
    const real value = beside.charted();
    const three_digits d(value);
    const real against = readings_for(l, slip::transposed);
    const real ways = 1 + one_if(value >= 100);
    const real last = value + 9 * (d.units - d.middle);
    const real first = value + 90 * (d.middle - d.hundreds);
    return any(all(value >= 10, d.units != d.middle, beside.is_beaten_by(last, ways * against)),
               all(value >= 100, d.middle != 0,  // nobody meant 018
                   d.middle != d.hundreds, beside.is_beaten_by(first, ways * against)));
}

/// Puts in, at a place worth `step`, the digit that brings `rest` nearest to the neighbours.
template <VitalSign S>
constexpr bool fits_with_digit(const beside_neighbours<S>& beside, real rest, real step, real least,
                               real against) {
    const real digit = nearest_whole((beside.middle() - rest) * (1 / step));
    return all(digit >= least, digit <= 9, beside.is_beaten_by(rest + step * digit, against));
}

template <VitalSign S>
constexpr bool fits_without_double(const beside_neighbours<S>& beside, const three_digits& d,
                                   const explaining_limits& l) {
    const real value = beside.charted();
    const real against = readings_for(l, slip::doubled) * (1 + one_if(value >= 100));
    return any(all(value >= 100, d.hundreds == d.middle,
                   beside.is_beaten_by(value - 100 * d.hundreds, against)),
               all(value >= 10, d.middle == d.units, beside.is_beaten_by(d.tens, against)));
}

template <VitalSign S>
constexpr bool fits_with_dropped(const beside_neighbours<S>& beside, const three_digits& d,
                                 const explaining_limits& l) {
    const real value = beside.charted();
    const real against = readings_for(l, slip::dropped);
    const real two = 2 * against;
    const real three = 3 * against;
    return any(all(value < 10, fits_with_digit(beside, value, real{10}, real{1}, two)),
               all(value < 10, fits_with_digit(beside, 10 * value, real{1}, real{0}, two)),
               all(value >= 10, value < 100,
                   any(fits_with_digit(beside, value, real{100}, real{1}, three),
                       fits_with_digit(beside, value + 90 * d.middle, real{10}, real{0}, three),
                       fits_with_digit(beside, 10 * value, real{1}, real{0}, three))));
}

/// But for the last digit: one wrong there is no more than the noise of measuring.
template <VitalSign S>
constexpr bool fits_with_other_digit(const beside_neighbours<S>& beside, const three_digits& d,
                                     const explaining_limits& l) {
    const real value = beside.charted();
    const real hundred = one_if(value >= 100);
    const real against = readings_for(l, slip::mistyped) * (18 + 9 * hundred);
    return any(all(value >= 10,
                   fits_with_digit(beside, value - 10 * d.middle, real{10}, 1 - hundred, against)),
               all(value >= 100,
                   fits_with_digit(beside, value - 100 * d.hundreds, real{100}, real{1}, against)));
}

inline constexpr std::string_view question_of_a_slip =
    "The {label} is charted as {charted}, far from the sets beside it. Please look at it in the "
    "monitor record; if it stands, say so.";
inline constexpr std::string_view source_of_slips =
    "weighed by `explain.rates` and `explain.offered`: how often slips are made from memory; "
    "spreads from NHANES 2009-2012, CRASH-2 and PhysioNet Challenge 2012";
inline constexpr std::string_view reasons_to_stand_out =
    "Silent in known arrest or compressions, with an assist device, within ten minutes of a "
    "treatment that changes vital signs, and near an airway attempt; and where pulse and pressure "
    "fall together or both halves of a pressure move. In children what is usual in people is left "
    "out.";

template <VitalSign S>
inline constexpr auto steps_out = lane_value_of<S>::from_value(
    usual_steps_out* static_cast<real>(adult_spreads[index_of(S::info.id)].step));

/// Near none of its neighbours, whenever those were taken, and off one of them.
template <VitalSign S>
constexpr bool stands_out(const readings& r, const neighbours& n) {
    const auto from_before = r.value<S>() - n.before<S>();
    const auto from_after = r.value<S>() - n.after<S>();
    const auto far = steps_out<S>;
    const bool near_before = all(from_before <= far, -from_before <= far);
    const bool near_after = all(from_after <= far, -from_after <= far);
    return all(!near_before, !near_after,
               any(is_farther_than(from_before, far), is_farther_than(from_after, far)));
}

/// The half of a pressure that a wrong digit in the other leaves where it was.
template <VitalSign S>
struct other_half {
    using signs = sign_list<>;
};
template <>
struct other_half<sign::systolic> {
    using signs = sign_list<sign::diastolic>;
};
template <>
struct other_half<sign::diastolic> {
    using signs = sign_list<sign::systolic>;
};

/// The signs that a slip of S leaves alone and the patient does not.
template <VitalSign S>
using left_alone = joined<typename moves_with<S>::signs, typename other_half<S>::signs>;

/// What both checks of a sign ask before they look at digits. What is not believable is asked about
/// by itself.
template <VitalSign S>
constexpr bool may_be_a_slip(const beside_neighbours<S>& beside, const readings& r,
                             const neighbours& n, const context& c) {
    const bool falls = falls_together_with_any(left_alone<S>{}, r, n);
    const bool rises = rises_together_with_any(typename other_half<S>::signs{}, r, n);
    return all(stands_out<S>(r, n), beside.is_beyond_those(n.before_that<S>().value()),
               is_whole_below_a_thousand(beside.charted()), is_comparable<S>(c, r.value<S>()),
               c.is_believable<S>(r.value<S>()), any(beside.charted() > beside.middle(), !falls),
               any(beside.charted() < beside.middle(), !rises), !has_reason_to_change(c));
}

/// What the checks of a sign share: each adds which digits it looks at, and what it says of them.
template <VitalSign S>
struct slip_of {
    using needs = sign_list<S>;
    using sees = left_alone<S>;
    using follows = joined<needs, sees>;
    using limits = explaining_limits;

    static constexpr bool moves(const farthest_moves& m, const limits& /*unused*/) {
        return m.of<S>() > steps_out<S>;
    }
    static constexpr bool suspects(const readings& r, const neighbours& n,
                                   const context& /*unused*/, const limits& /*unused*/) {
        return stands_out<S>(r, n);
    }
};

}  // namespace detail

template <VitalSign S>
struct slip_transposed : detail::slip_of<S> {
    static constexpr auto code = code_for<S, 17>("slip.transposed_");
    static constexpr check_info info{
        .code = code,
        .title = "A {label} that would fit with two digits the other way round",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = S::info.id,
        .question = detail::question_of_a_slip,
        .expected = "near its neighbours, as it is with two digits the other way round",
        .why =
            "The number passes every limit, stands out from the readings beside it, and would lie "
            "among them if two of its digits changed places: likelier than that it is true.",
        .source = detail::source_of_slips,
        .context = detail::reasons_to_stand_out,
    };

    static constexpr bool fires(const readings& r, const neighbours& n, const context& c,
                                const explaining_limits& l) {
        const detail::beside_neighbours<S> beside(r, n, c);
        return all(detail::may_be_a_slip(beside, r, n, c), detail::fits_transposed(beside, l));
    }
};

template <VitalSign S>
struct slip_digit : detail::slip_of<S> {
    static constexpr auto code = code_for<S, 12>("slip.digit_");
    static constexpr check_info info{
        .code = code,
        .title = "A {label} that would fit with one digit more, less or another",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = S::info.id,
        .question = detail::question_of_a_slip,
        .expected = "near its neighbours, as it is with one digit more, less or another",
        .why =
            "The number passes every limit, stands out from the readings beside it, and would lie "
            "among them if a digit had not been left out, typed twice or mistyped: likelier than "
            "that it is true.",
        .source = detail::source_of_slips,
        .context = detail::reasons_to_stand_out,
    };

    static constexpr bool fires(const readings& r, const neighbours& n, const context& c,
                                const explaining_limits& l) {
        const detail::beside_neighbours<S> beside(r, n, c);
        const detail::three_digits d(beside.charted());
        return all(
            detail::may_be_a_slip(beside, r, n, c), !detail::fits_transposed(beside, l),
            any(detail::fits_without_double(beside, d, l), detail::fits_with_dropped(beside, d, l),
                detail::fits_with_other_digit(beside, d, l)));
    }
};

using slip_family =
    check_list<slip_transposed<sign::systolic>, slip_transposed<sign::diastolic>,
               slip_transposed<sign::pulse>, slip_transposed<sign::respiratory_rate>,
               slip_digit<sign::systolic>, slip_digit<sign::diastolic>, slip_digit<sign::pulse>,
               slip_digit<sign::respiratory_rate>>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
