// One reading among its neighbours in the report: far from two that agree, or a step too large for
// the time between.
// Used by the catalogue. Promises notices for the reviewer only, silence where an arrest, a
// treatment or an airway attempt may be the reason, and that nothing here makes a dangerous value
// less than it is: the clinical checks speak of it all the same.
#pragma once

#include <vitalproof/checks/among_neighbours.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

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
    static constexpr bool moves(const farthest_moves& m, const limits& l) {
        return m.of<S>() > l.away;
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
    static constexpr bool moves(const farthest_moves& m, const limits& l) {
        return m.of<S>() >= l.by;
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
