// Pulse, felt or by oximeter, against the ECG rate of the same set, and the reason where they
// differ. Used by the catalogue. Promises one finding a set: pacing, pulseless activity, a double
// count and an irregular rhythm are told apart before a plain disagreement is asked about.
#pragma once

#include <vitalproof/checks/of_report.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

using rate_value = quantity<units::per_minute, real>;

/// How far the two may differ. Monitors state ±10 % or ±5 (IEC 60601-2-27, from memory), and a
/// 15-second count times four comes in steps of 4.
struct rate_limits {
    rate_value at_least = real{15} * per_minute;
    quantity<units::percent, real> share = real{15} * percent;
    quantity<units::percent, real> share_irregular = real{30} * percent;
    static constexpr auto fields() {
        constexpr std::string_view source = "common practice, no source";
        return std::tuple{
            own_limit<rate_limits, units::per_minute>{"at_least", &rate_limits::at_least, source},
            own_limit<rate_limits, units::percent>{"share", &rate_limits::share, source},
            own_limit<rate_limits, units::percent>{"share_irregular", &rate_limits::share_irregular,
                                                   source}};
    }
};

/// Where the rhythm is not irregular.
struct rate_double_limits {
    rate_value at_least = real{15} * per_minute;
    quantity<units::percent, real> share = real{15} * percent;
    static constexpr auto fields() {
        constexpr std::string_view source = "common practice, no source";
        return std::tuple{own_limit<rate_double_limits, units::per_minute>{
                              "at_least", &rate_double_limits::at_least, source},
                          own_limit<rate_double_limits, units::percent>{
                              "share", &rate_double_limits::share, source}};
    }
};

/// Where it is.
struct rate_deficit_limits {
    rate_value at_least = real{15} * per_minute;
    quantity<units::percent, real> share_irregular = real{30} * percent;
    static constexpr auto fields() {
        constexpr std::string_view source = "common practice, no source";
        return std::tuple{own_limit<rate_deficit_limits, units::per_minute>{
                              "at_least", &rate_deficit_limits::at_least, source},
                          own_limit<rate_deficit_limits, units::percent>{
                              "share_irregular", &rate_deficit_limits::share_irregular, source}};
    }
};

struct rate_pair {
    rate_value pulse;
    rate_value ecg;
};

constexpr rate_pair rates_of(const readings& r) {
    return {r.value<sign::pulse>(), r.value<sign::ecg_rate>()};
}

/// Apart by more than a number, and than a share of the ECG rate. A rate that is impossible by
/// itself is asked about by itself.
constexpr bool differ_by(const rate_pair& rates, const context& c, rate_value at_least,
                         quantity<units::percent, real> share) {
    const auto apart = rates.pulse - rates.ecg;
    return all(c.is_possible<sign::pulse>(rates.pulse), c.is_possible<sign::ecg_rate>(rates.ecg),
               is_farther_than(apart, at_least),
               is_farther_than(apart, rates.ecg * (share.value() / real{100})));
}

/// The ECG counts about two for each pulse: T waves counted, or every second beat not felt.
constexpr bool ecg_counts_double(const rate_pair& rates, quantity<units::percent, real> share) {
    const auto doubled = rates.pulse + rates.pulse;
    return all(rates.pulse > real{0} * per_minute,
               !is_farther_than(rates.ecg - doubled, rates.ecg * (share.value() / real{100})));
}

constexpr bool ecg_without_pulse(const rate_pair& rates) {
    return all(rates.pulse == real{0} * per_minute, rates.ecg > real{0} * per_minute);
}

struct rate_capture {
    static constexpr check_info info{
        .code = "rate.capture",
        .title = "Paced, and no pulse",
        .asks = asks::query,
        .priority = priority::first,
        .kind = kind::plausibility,
        .sign = sign_id::pulse,
        .question =
            "ECG rate {ecg_rate} is charted with pulse {pulse} while pacing. Was capture "
            "confirmed by a felt pulse or a plethysmograph wave?",
        .expected = "a pulse near the paced rate",
        .why = "A monitor counts pacing spikes whether or not the heart answers.",
        .source = "common practice, no source",
        .context =
            "Asked only where pacing is known; silent in compressions and with an assist "
            "device.",
    };
    using needs = sign_list<sign::pulse, sign::ecg_rate>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::pulse>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(ecg_without_pulse(rates_of(r)), c.is(fact::paced), !c.is(fact::compressions),
                   !c.is(fact::assist_device));
    }
};

struct rate_pulseless_activity {
    static constexpr check_info info{
        .code = "rate.pulseless_activity",
        .title = "ECG rate without a felt pulse",
        .asks = asks::query,
        .priority = priority::first,
        .kind = kind::plausibility,
        .sign = sign_id::pulse,
        .question =
            "ECG rate {ecg_rate} is charted with pulse {pulse}, and the report does not "
            "state an arrest at this time. Was there no pulse, or was it not obtained?",
        .expected = "an arrest stated for this time, or a pulse",
        .why = "Electrical activity without a pulse is an arrest; a blank typed as 0 is not.",
        .source = "common practice, no source",
        .context =
            "Silent in known arrest or compressions, and with an assist device; while "
            "pacing, rate.capture asks instead; an oximeter's 0 is a lost signal and is "
            "left to zero.pulse.",
    };
    using needs = sign_list<sign::pulse, sign::ecg_rate>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::pulse>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(ecg_without_pulse(rates_of(r)), !c.is(fact::arrest), !c.is(fact::compressions),
                   !c.is(fact::assist_device), !c.is(fact::paced), !c.is(fact::pulse_by_oximeter));
    }
};

struct rate_double_count {
    static constexpr check_info info{
        .code = "rate.double_count",
        .title = "ECG rate about twice the pulse",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::ecg_rate,
        .question =
            "ECG rate {ecg_rate} and pulse {pulse} are charted in one set. Please check "
            "both against the monitor record.",
        .expected = "within {at_least} or {share} of each other",
        .why =
            "The ECG rate is about twice the pulse: the monitor may have counted T waves, or "
            "every second beat was not felt.",
        .source = "common practice, no source",
        .context =
            "Silent in a known irregular rhythm, where rate.deficit notes it, and with an "
            "assist device.",
    };
    using needs = sign_list<sign::pulse, sign::ecg_rate>;
    using sees = sign_list<>;
    using limits = rate_double_limits;

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return is_farther_than(v.of<difference::pulse_above_ecg>(), l.at_least);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto rates = rates_of(r);
        return all(differ_by(rates, c, l.at_least, l.share), ecg_counts_double(rates, l.share),
                   !c.is(fact::irregular_rhythm), !c.is(fact::assist_device));
    }
};

struct rate_deficit {
    static constexpr check_info info{
        .code = "rate.deficit",
        .title = "Pulse deficit in an irregular rhythm",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::pulse,
        .question =
            "Pulse {pulse} is charted beside ECG rate {ecg_rate} in an irregular rhythm. "
            "Was a pulse deficit seen?",
        .expected = "within {at_least} or {share_irregular} of each other",
        .why = "In atrial fibrillation weak beats do not reach the wrist.",
        .source = "common practice, no source",
        .context = "Only where an irregular rhythm is known.",
    };
    using needs = sign_list<sign::pulse, sign::ecg_rate>;
    using sees = sign_list<>;
    using limits = rate_deficit_limits;

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return all(v.is_somewhere(fact::irregular_rhythm),
                   is_farther_than(v.of<difference::pulse_above_ecg>(), l.at_least));
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto rates = rates_of(r);
        return all(differ_by(rates, c, l.at_least, l.share_irregular), c.is(fact::irregular_rhythm),
                   rates.pulse < rates.ecg, !ecg_without_pulse(rates));
    }
};

struct rate_disagree {
    static constexpr check_info info{
        .code = "rate.disagree",
        .title = "Pulse and ECG rate disagree",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::pulse,
        .question =
            "Pulse {pulse} and ECG rate {ecg_rate} are charted in one set. Please check "
            "both against the monitor record; if they stand, say so.",
        .expected = "within {at_least} or {share} of each other",
        .why = "No usual reason fits: not a double count, no pacing, no irregular rhythm stated.",
        .source =
            "common practice, no source; monitors state 10 % or 5/min (IEC 60601-2-27, from "
            "memory)",
        .context =
            "Wider in a known irregular rhythm, where a deficit is only noted; silent in "
            "known arrest or compressions, and with an assist device.",
    };
    using needs = sign_list<sign::pulse, sign::ecg_rate>;
    using sees = sign_list<>;
    using limits = rate_limits;

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return is_farther_than(v.of<difference::pulse_above_ecg>(), l.at_least);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto rates = rates_of(r);
        const bool deficit = all(c.is(fact::irregular_rhythm), rates.pulse < rates.ecg);
        return all(any(all(differ_by(rates, c, l.at_least, l.share), !c.is(fact::irregular_rhythm)),
                       all(differ_by(rates, c, l.at_least, l.share_irregular),
                           c.is(fact::irregular_rhythm))),
                   !ecg_counts_double(rates, l.share), !deficit, !ecg_without_pulse(rates),
                   rates.ecg > real{0} * per_minute, !c.is(fact::arrest), !c.is(fact::compressions),
                   !c.is(fact::assist_device));
    }
};

/// A pulse whose ECG rate stands in a neighbouring set: in many charts each is a group of its own.
struct rate_nearby {
    static constexpr check_info info{
        .code = "rate.nearby",
        .title = "Pulse and the ECG rate of a set nearby disagree",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::pulse,
        .question =
            "Pulse {pulse} is charted within {within} of an ECG rate that is far from it. Please "
            "check both against the monitor record; if they stand, say so.",
        .expected = "within {at_least} or {share} of each other",
        .why = "Felt and counted by the ECG at one time, the two tell of the same heart.",
        .source =
            "common practice, no source; monitors state 10 % or 5/min (IEC 60601-2-27, from "
            "memory)",
        .context =
            "Only where the pulse is known to be felt or by oximeter. Silent in a known irregular "
            "rhythm, arrest or compressions, while pacing, after a treatment and with an assist "
            "device.",
    };
    using needs = sign_list<sign::pulse>;
    using sees = sign_list<sign::ecg_rate>;
    using follows = sign_list<sign::ecg_rate>;
    struct limits {
        rate_value at_least = real{15} * per_minute;
        quantity<units::percent, real> share = real{15} * percent;
        minutes_value within = real{2} * minute;
        static constexpr auto fields() {
            constexpr std::string_view source = "common practice, no source";
            return std::tuple{
                own_limit<limits, units::per_minute>{"at_least", &limits::at_least, source},
                own_limit<limits, units::percent>{"share", &limits::share, source},
                own_limit<limits, units::minute>{"within", &limits::within, source}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return any(v.is_somewhere(fact::pulse_felt), v.is_somewhere(fact::pulse_by_oximeter));
    }

    static constexpr bool disagrees(rate_value pulse, rate_value ecg, minutes_value apart,
                                    const context& c, const limits& l) {
        const rate_pair rates{pulse, ecg};
        return all(is_within(apart, l.within), differ_by(rates, c, l.at_least, l.share),
                   !ecg_counts_double(rates, l.share), ecg > real{0} * per_minute);
    }

    // Where both neighbours are near, both must disagree: the pulse may belong to either.
    static constexpr bool fires(const readings& r, const neighbours& n, const context& c,
                                const limits& l) {
        const auto pulse = r.value<sign::pulse>();
        const auto since = n.since<sign::ecg_rate>();
        const auto until = n.until<sign::ecg_rate>();
        const bool before = disagrees(pulse, n.before<sign::ecg_rate>(), since, c, l);
        const bool after = disagrees(pulse, n.after<sign::ecg_rate>(), until, c, l);
        return all(
            any(r.is<sign::ecg_rate>(absence::not_carried), r.is<sign::ecg_rate>(absence::blank)),
            pulse > real{0} * per_minute,
            any(c.is(fact::pulse_felt), c.is(fact::pulse_by_oximeter)), any(before, after),
            any(before, !is_within(since, l.within)), any(after, !is_within(until, l.within)),
            !c.is(fact::irregular_rhythm), !c.is(fact::arrest), !c.is(fact::compressions),
            !c.is(fact::paced), !c.is(fact::treated), !c.is(fact::assist_device));
    }
};

/// Breathing counted by hand against what a monitor sent at nearly the same time. A check of a
/// report: the method of a neighbour is not in the columns.
struct rate_breathing {
    static constexpr check_info info{
        .code = "rate.breathing",
        .title = "Breathing counted and breathing sent by a monitor disagree",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::respiratory_rate,
        .question =
            "Respiratory rate {respiratory_rate} is charted by hand, and the monitor sent {sent} "
            "within {within} of it. Which of the two holds?",
        .expected = "rates no more than {apart} apart",
        .why =
            "Monitors count movements, people breaths; far apart one of them is not the breathing.",
        .source = "common practice, no source",
        .context = "Only where sets sent by a monitor stand beside sets charted by hand.",
    };
    struct limits {
        quantity<units::per_minute, real> apart = real{8} * per_minute;
        minutes_value within = real{1} * minute;
        static constexpr auto fields() {
            return std::tuple{
                own_limit<limits, units::per_minute>{"apart", &limits::apart, detail::no_source},
                own_limit<limits, units::minute>{"within", &limits::within, detail::no_source}};
        }
    };

    /// The rate a monitor sent near the set, too far from the set's own.
    static constexpr std::optional<double> sent_far_from(const care_report& r, std::size_t set,
                                                         const limits& l) {
        const vital_set& own = r.sets[set];
        if (!own.taken_at || !own.respiratory_rate.is_number() ||
            !detail::known_of(r, set).is_not(fact::captured)) {
            return std::nullopt;
        }
        for (std::size_t i = 0; i < r.sets.size(); ++i) {
            const vital_set& other = r.sets[i];
            if (!other.taken_at || !other.respiratory_rate.is_number() ||
                !detail::known_of(r, i).is(fact::captured)) {
                continue;
            }
            const auto after = seconds_of(*other.taken_at) - seconds_of(*own.taken_at);
            const double apart = other.respiratory_rate.raw() - own.respiratory_rate.raw();
            const auto size = [](auto value) {
                return static_cast<double>(value < 0 ? -value : value);
            };
            if (size(after) <= detail::seconds_in(l.within) &&
                size(apart) > static_cast<double>(l.apart.value())) {
                return other.respiratory_rate.raw();
            }
        }
        return std::nullopt;
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        return sent_far_from(r, set, l).has_value();
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits& l, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::respiratory_rate>::mask);
        e.add("sent", quantity<units::per_minute>::from_value(*sent_far_from(r, set, l)));
    }
};

using rate_family = check_list<rate_capture, rate_pulseless_activity, rate_double_count,
                               rate_deficit, rate_disagree, rate_nearby, rate_breathing>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
