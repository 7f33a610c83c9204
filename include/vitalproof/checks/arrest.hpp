// Around an arrest: a circulation that may have come back.
// Used by the catalogue. Promises open questions; what was right to do is for local protocols,
// medical direction and licensed practice.
#pragma once

#include <vitalproof/checks/of_report.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

struct arrest_co2_rise {
    static constexpr check_info info{
        .code = "arrest.co2_rise",
        .title = "Exhaled CO2 rose while no pulse is charted",
        .asks = asks::notice,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::exhaled_co2,
        .question =
            "Exhaled CO2 rose from {before} to {exhaled_co2} with the pulse charted as {pulse}. "
            "Was "
            "the pulse checked near this time?",
        .expected = "a pulse, or a pulse check without one",
        .why = "A sudden rise is often the first sign of a circulation that came back.",
        .source = "common practice, no source",
        .context = "Silent with an assist device, where a pulse is not expected.",
    };
    using needs = sign_list<sign::pulse, sign::exhaled_co2>;
    using sees = sign_list<>;
    using follows = sign_list<sign::exhaled_co2>;
    struct limits {
        quantity<units::mmhg, real> rise = real{10} * mmHg;
        quantity<units::mmhg, real> to = real{35} * mmHg;
        minutes_value within = real{10} * minute;
        static constexpr auto fields() {
            return std::tuple{
                own_limit<limits, units::mmhg>{"rise", &limits::rise, detail::no_source},
                own_limit<limits, units::mmhg>{"to", &limits::to, detail::no_source},
                own_limit<limits, units::minute>{"within", &limits::within, detail::no_source}};
        }
    };

    static constexpr bool fires(const readings& r, const neighbours& n, const context& c,
                                const limits& l) {
        const auto co2 = r.value<sign::exhaled_co2>();
        const auto rise = co2 - n.before<sign::exhaled_co2>();
        return all(r.value<sign::pulse>().value() == real{0}, co2 >= l.to, rise >= l.rise,
                   is_within(n.since<sign::exhaled_co2>(), l.within), !c.is(fact::assist_device));
    }
};

struct arrest_return_without_time {
    static constexpr check_info info{
        .code = "arrest.return_without_time",
        .title = "A pulse after an arrest, and no time of its return",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::completeness,
        .sign = sign_id::pulse,
        .question =
            "The pulse is charted as {pulse} after an arrest, and the report does not say when it "
            "came back. Is the time known?",
        .expected = "the time at which a pulse came back",
        .why = "What was true of each set hangs on it: before it zeros are true, after it not.",
        .source = "common practice, no source",
        .context =
            "Only where the report tells of an arrest and an earlier set holds no pulse; silent "
            "for sets by others before this crew.",
    };
    using limits = no_limits;

    static constexpr bool has_time_of_return(const care_report& r) {
        return std::ranges::any_of(r.call->events, [](const care_event& e) {
            return e.what == event_kind::pulse_returned && e.at.has_value();
        });
    }
    static constexpr bool has_arrest(const care_report& r) {
        return r.call && std::ranges::any_of(r.call->events, [](const care_event& e) {
                   return e.what == event_kind::arrest;
               });
    }
    static constexpr bool has_pulse(const vital_set& set) {
        return set.pulse.is_number() && set.pulse.raw() > 0;
    }

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        if (!has_arrest(r) || !has_pulse(r.sets[set]) || !detail::is_own(r, set) ||
            has_time_of_return(r)) {
            return false;
        }
        bool none_before = false;
        for (std::size_t i = 0; i < set; ++i) {
            const auto& pulse = r.sets[i].pulse;
            if (none_before && detail::is_own(r, i) && has_pulse(r.sets[i])) {
                return false;  // the first such set was asked about
            }
            none_before = none_before || (pulse.is_number() && pulse.raw() == 0);
        }
        return none_before;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::pulse>::mask);
    }
};

using arrest_family = check_list<arrest_co2_rise, arrest_return_without_time>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
