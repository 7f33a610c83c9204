// The same values twice in one report, and two sets of one time.
// Used by the catalogue. Promises an open question: values that a crew took again and found
// unchanged are true, and nothing here says that they were copied.
#pragma once

#include <vitalproof/check.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

/// The same number as in the reading before, and no zero.
template <FollowedSign S>
constexpr bool is_repeated(const readings& r, const neighbours& n) {
    const auto value = r.value<S>();
    return all(value == n.before<S>(), value.value() != real{0});
}

/// Both pressures are those of the reading before.
constexpr bool is_cuff_repeated(const readings& r, const neighbours& n) {
    return all(is_repeated<sign::systolic>(r, n), is_repeated<sign::diastolic>(r, n));
}

/// As many as 0 or 1.
constexpr int counted(bool b) { return static_cast<int>(b); }

/// Whether the reading before was taken with the systolic before: not known to be of another time.
template <FollowedSign S>
constexpr bool is_of_that_set(const neighbours& n) {
    const auto apart = n.since<S>() - n.since<sign::systolic>();
    return !any(apart.value() < real{0}, apart.value() > real{0});
}

}  // namespace detail

struct repeated_set {
    static constexpr check_info info{
        .code = "repeated.set",
        .title = "The same values as in the set before",
        .asks = asks::query,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "Pressure {systolic} over {diastolic} and at least two more values are the same as in "
            "the set before. Same values twice: were these taken again?",
        .expected = "at least one value that moved, or a word that nothing did",
        .why =
            "Four or more of systolic, diastolic, pulse, respiratory rate and saturation seldom "
            "stand still together; a set carried forward looks so.",
        .source = "common practice, no source",
        .context =
            "Silent for sets sent by a monitor, where repeated.cuff looks, and in known arrest or "
            "compressions.",
    };
    using needs = sign_list<sign::systolic, sign::diastolic>;
    using sees = sign_list<sign::pulse, sign::respiratory_rate, sign::saturation>;
    using follows = sign_list<sign::systolic, sign::diastolic>;
    using limits = no_limits;

    static constexpr bool suspects(const readings& r, const neighbours& n, const context&,
                                   const limits&) {
        return detail::is_cuff_repeated(r, n);
    }

    static constexpr bool fires(const readings& r, const neighbours& n, const context& c,
                                const limits&) {
        const int others = detail::counted(all(detail::is_repeated<sign::pulse>(r, n),
                                               detail::is_of_that_set<sign::pulse>(n))) +
                           detail::counted(all(detail::is_repeated<sign::respiratory_rate>(r, n),
                                               detail::is_of_that_set<sign::respiratory_rate>(n))) +
                           detail::counted(all(detail::is_repeated<sign::saturation>(r, n),
                                               detail::is_of_that_set<sign::saturation>(n)));
        return all(detail::is_cuff_repeated(r, n), detail::is_of_that_set<sign::diastolic>(n),
                   others >= 2, !c.is(fact::captured), !c.is(fact::arrest),
                   !c.is(fact::compressions));
    }
};

struct repeated_cuff {
    static constexpr check_info info{
        .code = "repeated.cuff",
        .title = "The same cuff reading while the pulse moved",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "Pressure {systolic} over {diastolic} stands here as {since} earlier, while the pulse "
            "moved. Is it the same cuff reading shown again?",
        .expected = "a pressure measured for this set",
        .why = "A monitor shows its last cuff reading until the next one.",
        .source = "common practice, no source",
        .context = "Silent for a palpated, Doppler or arterial pressure.",
    };
    using needs = sign_list<sign::systolic, sign::diastolic, sign::pulse>;
    using sees = sign_list<>;
    using follows = sign_list<sign::systolic, sign::pulse>;
    struct limits {
        quantity<units::per_minute, real> moved = real{5} * per_minute;
        minutes_value within = real{15} * minute;
        static constexpr auto fields() {
            constexpr std::string_view source = "common practice, no source";
            return std::tuple{own_limit<limits, units::per_minute>{"moved", &limits::moved, source},
                              own_limit<limits, units::minute>{"within", &limits::within, source}};
        }
    };

    static constexpr bool suspects(const readings& r, const neighbours& n, const context&,
                                   const limits&) {
        return detail::is_cuff_repeated(r, n);
    }

    static constexpr bool fires(const readings& r, const neighbours& n, const context& c,
                                const limits& l) {
        const auto moved = r.value<sign::pulse>() - n.before<sign::pulse>();
        return all(detail::is_cuff_repeated(r, n), detail::is_of_that_set<sign::diastolic>(n),
                   detail::is_of_that_set<sign::pulse>(n), any(moved >= l.moved, -moved >= l.moved),
                   n.since<sign::systolic>().value() > real{0},
                   is_within(n.since<sign::systolic>(), l.within), !c.is(fact::palpated),
                   !c.is(fact::doppler), !c.is(fact::arterial));
    }
};

/// Two sets of one minute that differ in pressure and in a rate or saturation: one reading taken
/// again within its minute is ordinary.
struct same_time {
    static constexpr check_info info{
        .code = "clock.same_time",
        .title = "Two sets of one time with different values",
        .asks = asks::query,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "Systolic {before} and {systolic} are charted for the same time, and other values "
            "differ as well. Please check the times of the two sets.",
        .expected = "a time of its own for each set",
        .why = "Two whole sets cannot be taken at once: one of the times is that of the other.",
        .source = "common practice, no source",
        .context = "Silent where one set was sent by a monitor.",
    };
    using needs = sign_list<sign::systolic>;
    using sees = sign_list<sign::pulse, sign::respiratory_rate, sign::saturation>;
    using follows = sign_list<sign::systolic>;
    using limits = no_limits;

    template <FollowedSign S>
    static constexpr bool differs_at_once(const readings& r, const neighbours& n) {
        const auto apart = r.value<S>() - n.before<S>();
        return all(n.since<S>().value() == real{0},
                   any(apart.value() < real{0}, apart.value() > real{0}));
    }

    static constexpr bool suspects(const readings& r, const neighbours& n, const context&,
                                   const limits&) {
        return differs_at_once<sign::systolic>(r, n);
    }

    static constexpr bool fires(const readings& r, const neighbours& n, const context& c,
                                const limits&) {
        return all(
            differs_at_once<sign::systolic>(r, n),
            any(differs_at_once<sign::pulse>(r, n), differs_at_once<sign::respiratory_rate>(r, n),
                differs_at_once<sign::saturation>(r, n)),
            !c.is(fact::captured));
    }
};

using repeated_family = check_list<repeated_set, repeated_cuff, same_time>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
