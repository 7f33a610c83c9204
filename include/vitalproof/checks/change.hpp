// One reading among its neighbours in the report: far from two that agree, or a step too large for
// the time between.
// Used by the catalogue. Promises notices for the reviewer only, silence where an arrest, a
// treatment or an airway attempt may be the reason, and that nothing here makes a dangerous value
// less than it is: the clinical checks speak of it all the same.
#pragma once

#include <vitalproof/check.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

/// How far a sign moves, in the unit it is held in.
struct movement {
    real spike;  ///< from both neighbours
    real agree;  ///< between two readings that tell of the same state
    real step;   ///< from the reading before
};

template <VitalSign S>
constexpr movement usual_movement() {
    switch (S::info.id) {
        case sign_id::systolic:
            return {50, 20, 80};
        case sign_id::diastolic:
            return {35, 15, 60};
        case sign_id::respiratory_rate:
            return {20, 8, 30};
        case sign_id::saturation:
            return {20, 5, 30};
        case sign_id::exhaled_co2:
            return {25, 10, 40};
        default:  // pulse and ECG rate
            return {50, 20, 70};
    }
}

/// What may be the reason for any change.
constexpr bool has_reason_to_change(const context& c) {
    return any(c.is(fact::arrest), c.is(fact::compressions), c.is(fact::treated),
               c.is(fact::airway_attempt), c.is(fact::assist_device));
}

inline constexpr std::string_view reasons_to_change =
    "Silent in known arrest or compressions, with an assist device, within ten minutes of a "
    "treatment that changes vital signs, and near an airway attempt.";

/// The sign that a failing heart moves together with S: of the pulse the pressure, of the pressure
/// the pulse. A digit or a loose sensor moves one of them alone.
template <VitalSign S>
struct moves_with {
    using signs = sign_list<>;
};
template <VitalSign S>
requires(S::info.id == sign_id::systolic || S::info.id == sign_id::diastolic) struct moves_with<S> {
    using signs = sign_list<sign::pulse>;
};
template <VitalSign S>
requires(S::info.id == sign_id::pulse || S::info.id == sign_id::ecg_rate) struct moves_with<S> {
    using signs = sign_list<sign::systolic>;
};

/// Whether the reading of Other lies beyond both of its neighbours too, and by more than those that
/// tell of the same state differ; never where one of the three is missing.
template <VitalSign Other>
constexpr bool is_below_both(const readings& r, const neighbours& n) {
    using step = quantity<typename Other::unit, real>;
    const auto value = r.value<Other>();
    const auto far = step::from_value(usual_movement<Other>().agree);
    return all(n.before<Other>() - value > far, n.after<Other>() - value > far);
}
template <VitalSign... Other>
constexpr bool falls_together(sign_list<Other...>, const readings& r, const neighbours& n) {
    return any(false, is_below_both<Other>(r, n)...);
}

template <class First, class Second>
struct join;
template <VitalSign... A, VitalSign... B>
struct join<sign_list<A...>, sign_list<B...>> {
    using type = sign_list<A..., B...>;
};
template <class First, class Second>
using joined = typename join<First, Second>::type;

inline constexpr std::string_view reasons_for_a_spike_of_the_heart =
    "Silent in known arrest or compressions, with an assist device, within ten minutes of a "
    "treatment that changes vital signs, and near an airway attempt; and where pulse and pressure "
    "fall together, which is no digit and no sensor.";

template <VitalSign S>
inline constexpr std::string_view reasons_for_a_spike =
    moves_with<S>::signs::size == 0 ? reasons_to_change : reasons_for_a_spike_of_the_heart;

/// A reading that can be compared with others: a zero is asked about by itself.
template <VitalSign S>
constexpr bool is_comparable(const context& c, lane_value_of<S> value) {
    return all(c.is_possible<S>(value), value.value() != real{0});
}

}  // namespace detail

template <VitalSign S>
struct spike {
    static constexpr auto code = code_for<S, 7>("spike.");
    static constexpr check_info info{
        .code = code,
        .title = "A single {label} far from its neighbours",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = S::info.id,
        .question =
            "The {label} is charted as {charted}, between {before} ({since} earlier) and {after} "
            "({until} later). Please look at it in the monitor record; if it stands, say so.",
        .expected = "within {away} of its neighbours, which agree",
        .why =
            "A true change seldom comes and goes between two readings that agree; a digit or a "
            "loose sensor does. A true one is grave, so nothing is taken back.",
        .source = "common practice, no source",
        .context = detail::reasons_for_a_spike<S>,
    };
    using needs = sign_list<S>;
    using sees = typename detail::moves_with<S>::signs;
    using follows = detail::joined<sign_list<S>, sees>;
    struct limits {
        using step = quantity<typename S::unit, real>;
        step away = step::from_value(detail::usual_movement<S>().spike);
        step agree = step::from_value(detail::usual_movement<S>().agree);
        minutes_value within = real{15} * minute;
        static constexpr auto fields() {
            constexpr std::string_view source = "common practice, no source";
            return std::tuple{own_limit<limits, typename S::unit>{"away", &limits::away, source},
                              own_limit<limits, typename S::unit>{"agree", &limits::agree, source},
                              own_limit<limits, units::minute>{"within", &limits::within, source}};
        }
    };

    static constexpr bool fires(const readings& r, const neighbours& n, const context& c,
                                const limits& l) {
        const auto value = r.value<S>();
        const auto before = n.before<S>();
        const auto after = n.after<S>();
        const bool falls = all(before - value > l.away, after - value > l.away);
        return all(is_within(n.since<S>(), l.within), is_within(n.until<S>(), l.within),
                   any(all(value - before > l.away, value - after > l.away),
                       all(falls, !detail::falls_together(sees{}, r, n))),
                   !is_farther_than(before - after, l.agree), detail::is_comparable<S>(c, value),
                   detail::is_comparable<S>(c, before), detail::is_comparable<S>(c, after),
                   !detail::has_reason_to_change(c));
    }
};

template <VitalSign S>
struct change {
    static constexpr auto code = code_for<S, 8>("change.");
    static constexpr check_info info{
        .code = code,
        .title = "A large step in {label}",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = S::info.id,
        .question =
            "The {label} goes from {before} to {charted} within {since}. Does the report tell "
            "what happened between the two?",
        .expected = "less than {by} from the reading before",
        .why =
            "So large a step in so short a time has a reason that a report tells, or one of the "
            "readings belongs to another patient, sign or time.",
        .source = "common practice, no source",
        .context = detail::reasons_to_change,
    };
    using needs = sign_list<S>;
    using sees = sign_list<>;
    using follows = sign_list<S>;
    struct limits {
        using step = quantity<typename S::unit, real>;
        step by = step::from_value(detail::usual_movement<S>().step);
        step agree = step::from_value(detail::usual_movement<S>().agree);
        minutes_value within = real{10} * minute;
        static constexpr auto fields() {
            constexpr std::string_view source = "common practice, no source";
            return std::tuple{own_limit<limits, typename S::unit>{"by", &limits::by, source},
                              own_limit<limits, typename S::unit>{"agree", &limits::agree, source},
                              own_limit<limits, units::minute>{"within", &limits::within, source}};
        }
    };

    // Both sides of the step must stand as far as the report tells: the readings before agree, and
    // so do those after. Else one of the two is a spike.
    static constexpr bool fires(const readings& r, const neighbours& n, const context& c,
                                const limits& l) {
        const auto value = r.value<S>();
        const auto before = n.before<S>();
        return all(
            is_within(n.since<S>(), l.within), any(value - before >= l.by, before - value >= l.by),
            !is_farther_than(n.before_that<S>() - before, l.agree),
            !is_farther_than(n.after<S>() - value, l.agree), detail::is_comparable<S>(c, value),
            detail::is_comparable<S>(c, before), !detail::has_reason_to_change(c));
    }
};

using change_family =
    check_list<spike<sign::systolic>, spike<sign::diastolic>, spike<sign::pulse>,
               spike<sign::ecg_rate>, spike<sign::respiratory_rate>, spike<sign::saturation>,
               spike<sign::exhaled_co2>, change<sign::systolic>, change<sign::diastolic>,
               change<sign::pulse>, change<sign::ecg_rate>, change<sign::respiratory_rate>,
               change<sign::saturation>, change<sign::exhaled_co2>>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
