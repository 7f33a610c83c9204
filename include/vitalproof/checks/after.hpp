// After a treatment: the vital signs that show what it did.
// Used by the catalogue. Promises a notice about documentation, once a set that treatments follow:
// a value or a reason for its absence is an answer, and what to give is nobody's question here.
#pragma once

#include <vitalproof/checks/of_report.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

/// Own limit of checks that look for an answer within some minutes.
template <class Self, int Minutes>
struct answer_within {
    minutes_value within = real{Minutes} * minute;
    static constexpr auto fields() {
        return std::tuple{own_limit<Self, units::minute>{"within", &Self::within, no_source}};
    }
};

/// Whether the report tells of events with a patient to care for.
constexpr bool has_events(const care_report& r, std::size_t) {
    return had_a_patient(r) && !r.call->events.empty();
}

/// The first event of the wanted kind that belongs to the set and for which `lacks` holds, of
/// those this crew had the patient long enough after.
template <class Wanted, class Lacks>
constexpr const care_event* unanswered(const care_report& r, std::size_t set, minutes_value within,
                                       Wanted&& wanted, Lacks&& lacks) {
    if (!has_events(r, set)) {
        return nullptr;
    }
    std::optional<contact> whole;
    for (const care_event& event : r.call->events) {
        if (!event.at || event.prior_care || !wanted(event.what) ||
            !belongs_to(r, set, seconds_of(*event.at))) {
            continue;
        }
        whole = whole ? whole : contact_of(r);
        const auto at = static_cast<double>(seconds_of(*event.at));
        if (whole && at + seconds_in(within) <= static_cast<double>(whole->to) && lacks(at)) {
            return &event;
        }
    }
    return nullptr;
}

/// A check that wants one of the signs answered within its limit after a kind of event.
/// `Check`, derived from this, gives `is(event_kind)` and `answers`, a list of signs.
template <class Check>
struct answered_after {
    static constexpr auto concerns = &has_events;

    template <class Limits>
    static constexpr const care_event* missing(const care_report& r, std::size_t set,
                                               const Limits& l) {
        using signs = typename Check::answers;
        if (!any_carried(signs{}, r)) {
            return nullptr;
        }
        return unanswered(r, set, l.within, &Check::is, [&](double at) {
            return !is_answered_between<signs>(r, at, at + seconds_in(l.within));
        });
    }
    template <class Limits>
    static constexpr bool fires_in(const care_report& r, std::size_t set, const Limits& l) {
        return missing(r, set, l) != nullptr;
    }
    template <class Limits, class Evidence>
    static void explain(const care_report& r, std::size_t set, const Limits& l, Evidence& e) {
        add_readings(e, r.sets[set], Check::answers::mask | 1U << index_of(Check::info.sign));
        e.add({"given", *missing(r, set, l)->at});
    }
};

inline constexpr std::string_view treatment_context =
    "Only where the report tells of treatments and their times; silent for those by others before "
    "this crew, where the patient was handed over sooner, and where a reason for the absence "
    "stands.";

}  // namespace detail

struct after_sugar : detail::answered_after<after_sugar> {
    static constexpr check_info info{
        .code = "after.sugar",
        .title = "Sugar or glucagon, and no glucose after it",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::completeness,
        .sign = sign_id::glucose,
        .question =
            "Glucose or glucagon was given at {given}, and the documentation holds no glucose "
            "within {within} after it. Was it measured again?",
        .expected = "a glucose within {within}, or a reason why there is none",
        .why = "A second value shows whether the low was met. Local protocol decides.",
        .source = detail::no_source,
        .context = detail::treatment_context,
    };
    struct limits : detail::answer_within<limits, 15> {};
    using answers = sign_list<sign::glucose>;

    static constexpr bool is(event_kind what) { return what == event_kind::sugar; }
};

struct after_opioid : detail::answered_after<after_opioid> {
    static constexpr check_info info{
        .code = "after.opioid",
        .title = "An opioid or naloxone, and no breathing rate or saturation after it",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::completeness,
        .sign = sign_id::respiratory_rate,
        .question =
            "An opioid or naloxone was given at {given}, and the documentation holds neither a "
            "breathing rate nor a saturation within {within} after it. Were they taken?",
        .expected = "a breathing rate or a saturation within {within}, or a reason",
        .why = "Both drugs act on breathing. Local protocol decides.",
        .source = detail::no_source,
        .context = detail::treatment_context,
    };
    struct limits : detail::answer_within<limits, 10> {};
    using answers = sign_list<sign::respiratory_rate, sign::saturation>;

    static constexpr bool is(event_kind what) {
        return what == event_kind::opioid || what == event_kind::naloxone;
    }
};

struct after_sedation : detail::answered_after<after_sedation> {
    static constexpr check_info info{
        .code = "after.sedation",
        .title = "Sedation or paralysis, and no look at breathing after it",
        .asks = asks::notice,
        .priority = priority::high,
        .kind = kind::completeness,
        .sign = sign_id::saturation,
        .question =
            "Sedation or paralysis was given at {given}, and the documentation holds no "
            "saturation, breathing rate or exhaled CO2 within {within} after it. Were they taken?",
        .expected = "saturation, breathing rate or exhaled CO2 within {within}, or a reason",
        .why = "Who is sedated may stop breathing unseen. Local protocol decides.",
        .source = detail::no_source,
        .context = detail::treatment_context,
    };
    struct limits : detail::answer_within<limits, 5> {};
    using answers = sign_list<sign::saturation, sign::respiratory_rate, sign::exhaled_co2>;

    static constexpr bool is(event_kind what) { return what == event_kind::sedation; }
};

struct after_pulse_returned : detail::answered_after<after_pulse_returned> {
    static constexpr check_info info{
        .code = "after.pulse_returned",
        .title = "A pulse came back, and no set soon after it",
        .asks = asks::notice,
        .priority = priority::high,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "A pulse came back at {given}, and the documentation holds neither a pressure nor a "
            "pulse within {within} after it. Were they taken?",
        .expected = "a pressure or a pulse within {within}, or a reason",
        .why = "A circulation that came back is often lost again. Local protocol decides.",
        .source = detail::no_source,
        .context = detail::treatment_context,
    };
    struct limits : detail::answer_within<limits, 5> {};
    using answers = sign_list<sign::systolic, sign::pulse>;

    static constexpr bool is(event_kind what) { return what == event_kind::pulse_returned; }
};

/// What is to be known on both sides of an event.
struct after_nitrate {
    static constexpr check_info info{
        .code = "after.nitrate",
        .title = "A nitrate without a pressure on both sides",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "A nitrate was given at {given}, and the documentation lacks a pressure within "
            "{within} before it or after it. Was it taken?",
        .expected = "a pressure within {within} before and after, or a reason",
        .why = "Nitrates lower the pressure. Local protocol decides.",
        .source = detail::no_source,
        .context = detail::treatment_context,
    };
    struct limits : detail::answer_within<limits, 10> {};
    static constexpr auto concerns = &detail::has_events;

    static constexpr const care_event* missing(const care_report& r, std::size_t set,
                                               const limits& l) {
        using signs = sign_list<sign::systolic>;
        const auto is_nitrate = [](event_kind what) { return what == event_kind::nitrate; };
        const double within = detail::seconds_in(l.within);
        if (!detail::is_carried<sign::systolic>(r)) {
            return nullptr;
        }
        return detail::unanswered(r, set, l.within, is_nitrate, [&](double at) {
            return !detail::is_answered_between<signs>(r, at - within, at) ||
                   !detail::is_answered_between<signs>(r, at, at + within);
        });
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        return missing(r, set, l) != nullptr;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits& l, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::systolic>::mask);
        e.add({"given", *missing(r, set, l)->at});
    }
};

/// An airway attempt: oxygen and circulation on both sides.
struct after_airway_attempt {
    static constexpr check_info info{
        .code = "after.airway_attempt",
        .title = "An airway attempt without saturation and pressure on both sides",
        .asks = asks::notice,
        .priority = priority::high,
        .kind = kind::completeness,
        .sign = sign_id::saturation,
        .question =
            "An airway was attempted at {given}, and the documentation lacks a saturation or a "
            "pressure within {within} before it or after it. Were they taken?",
        .expected = "saturation and systolic within {within} before and after, or a reason",
        .why = "An attempt is safe where both were seen to hold. For medical direction first.",
        .source = detail::no_source,
        .context =
            "Only where the report tells of airway attempts and their times; silent in known "
            "arrest, for attempts by others before this crew, where the patient was handed over "
            "sooner, and where a reason for the absence stands.",
    };
    struct limits : detail::answer_within<limits, 5> {};
    static constexpr auto concerns = &detail::has_events;

    template <VitalSign S>
    static constexpr bool lacks(const care_report& r, double at, double within) {
        using signs = sign_list<S>;
        return detail::is_carried<S>(r) &&
               (!detail::is_answered_between<signs>(r, at - within, at) ||
                !detail::is_answered_between<signs>(r, at, at + within));
    }
    static constexpr const care_event* missing(const care_report& r, std::size_t set,
                                               const limits& l) {
        if (detail::known_of(r, set).is(fact::arrest)) {
            return nullptr;
        }
        const auto is_attempt = [](event_kind what) { return what == event_kind::airway_attempt; };
        const double within = detail::seconds_in(l.within);
        return detail::unanswered(r, set, l.within, is_attempt, [&](double at) {
            return lacks<sign::saturation>(r, at, within) || lacks<sign::systolic>(r, at, within);
        });
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        return missing(r, set, l) != nullptr;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits& l, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::systolic, sign::saturation>::mask);
        e.add({"given", *missing(r, set, l)->at});
    }
};

using after_family = check_list<after_sugar, after_opioid, after_nitrate, after_sedation,
                                after_airway_attempt, after_pulse_returned>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
