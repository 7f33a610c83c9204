// A tube in the airway and the exhaled CO2 that proves where it lies.
// Used by the catalogue. Promises the gravest questions of all, which no arrest excuses (Chrimes et
// al. 2022, Anaesthesia 77): asked wherever a source can carry exhaled CO2 and says that a tube is
// in place. They go to medical direction first.
#pragma once

#include <vitalproof/checks/of_report.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

constexpr bool has_tube(const care_report& r, std::size_t set) {
    return known_of(r, set).is(fact::airway_tube);
}

/// Whether exhaled CO2 shows that gas comes back from the lungs.
constexpr bool reaches(const reading<sign::exhaled_co2>& co2, quantity<units::mmhg, real> least) {
    return co2.state() == reading_state::above ||
           (co2.is_number() && co2.raw() >= static_cast<double>(least.value()));
}

/// Of the sets from the tube's on, the first for which `holds`; the number of sets where none does.
template <class Holds>
constexpr std::size_t first_with_tube(const care_report& r, Holds&& holds) {
    std::size_t set = 0;
    while (set < r.sets.size() && !(has_tube(r, set) && holds(r.sets[set].exhaled_co2))) {
        ++set;
    }
    return set;
}

template <class Limits>
struct tube_limits_of {
    quantity<units::mmhg, real> reached = real{7.5} * mmHg;
    static constexpr auto fields() {
        return std::tuple{own_limit<Limits, units::mmhg>{
            "reached", &Limits::reached, "1 kPa: Chrimes et al. 2022, Anaesthesia 77"}};
    }
};

}  // namespace detail

struct tube_without_co2 {
    static constexpr check_info info{
        .code = "tube.without_co2",
        .title = "A tube, and exhaled CO2 never reached a breath's",
        .asks = asks::query,
        .priority = priority::first,
        .kind = kind::completeness,
        .sign = sign_id::exhaled_co2,
        .question =
            "A tube is in place from here on, and no set shows exhaled CO2 of {reached} or more. "
            "How was its place in the airway confirmed, and is the waveform kept?",
        .expected = "at least {reached} in a set after the tube",
        .why =
            "Exhaled CO2 as a curve is the proof that a tube lies in the airway. For medical "
            "direction first, by local protocol.",
        .source = "Chrimes et al. 2022, Anaesthesia 77",
        .context =
            "Only where a tube is known to be in place and the source can carry exhaled CO2; a "
            "known arrest does not silence it.",
    };
    struct limits : detail::tube_limits_of<limits> {};
    static constexpr auto concerns = &detail::has_tube;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        if (!detail::has_tube(r, set)) {
            return false;
        }
        const auto any = [](const auto&) { return true; };
        const auto carried = [](const auto& co2) {
            return co2.state() != reading_state::absent || co2.why_absent() != absence::not_carried;
        };
        const auto reached = [&l](const auto& co2) { return detail::reaches(co2, l.reached); };
        return detail::first_with_tube(r, any) == set &&
               detail::first_with_tube(r, carried) < r.sets.size() &&
               detail::first_with_tube(r, reached) == r.sets.size();
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::exhaled_co2>::mask);
    }
};

struct tube_lost_co2 {
    static constexpr check_info info{
        .code = "tube.lost_co2",
        .title = "A tube, and exhaled CO2 fell away",
        .asks = asks::query,
        .priority = priority::first,
        .kind = kind::plausibility,
        .sign = sign_id::exhaled_co2,
        .question =
            "With a tube in place exhaled CO2 is charted as {exhaled_co2}, after {reached} or more "
            "in an earlier set. What was found, and was the tube's place confirmed again?",
        .expected = "at least {reached}",
        .why =
            "A tube that moved, a circulation that stopped, or a sensor that came off look alike. "
            "For medical direction first, by local protocol.",
        .source = "Chrimes et al. 2022, Anaesthesia 77",
        .context = "Only where a tube is known to be in place; a known arrest does not silence it.",
    };
    struct limits : detail::tube_limits_of<limits> {};
    static constexpr auto concerns = &detail::has_tube;

    // The first such set of a report.
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        const auto& co2 = r.sets[set].exhaled_co2;
        if (!detail::has_tube(r, set) || !co2.is_number() || detail::reaches(co2, l.reached)) {
            return false;
        }
        bool reached = false;
        for (std::size_t i = 0; i < set; ++i) {
            const auto& earlier = r.sets[i].exhaled_co2;
            const bool tube = detail::has_tube(r, i);
            if (tube && reached && earlier.is_number() && !detail::reaches(earlier, l.reached)) {
                return false;
            }
            reached = reached || (tube && detail::reaches(earlier, l.reached));
        }
        return reached;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::exhaled_co2>::mask);
    }
};

namespace detail {

/// Whether exhaled CO2 was seen from one moment to another, in seconds: a value that reaches a
/// breath's, or a confirmation by number or waveform.
constexpr bool is_shown_between(const care_report& r, double from, double to,
                                quantity<units::mmhg, real> least) {
    const auto is_within = [&](const std::optional<set_time>& at) {
        const auto moment = at ? static_cast<double>(seconds_of(*at)) : from - 1;
        return moment >= from && moment <= to;
    };
    const auto by_value = [&](const vital_set& set) {
        return is_within(set.taken_at) && reaches(set.exhaled_co2, least);
    };
    const auto by_confirmation = [&](const care_event& event) {
        return event.what == event_kind::tube_confirmed_by_co2 && is_within(event.at);
    };
    return std::ranges::any_of(r.sets, by_value) ||
           std::ranges::any_of(r.call->events, by_confirmation);
}

constexpr bool any_event(const care_report& r, event_kind kind) {
    return r.call &&
           std::ranges::any_of(r.call->events, [&](const care_event& e) { return e.what == kind; });
}

}  // namespace detail

struct tube_after_move {
    static constexpr check_info info{
        .code = "tube.after_move",
        .title = "A tube, a move, and no exhaled CO2 after it",
        .asks = asks::query,
        .priority = priority::first,
        .kind = kind::completeness,
        .sign = sign_id::exhaled_co2,
        .question =
            "A tube is in place, the patient was moved or handed over at {moved}, and neither a "
            "value nor a waveform of exhaled CO2 stands within {within} of it. How was the tube's "
            "place confirmed then?",
        .expected = "at least {reached}, or a waveform, after each move and at the handover",
        .why =
            "Tubes move when patients do: from the scene, into the hospital, to other hands. For "
            "medical direction first, by local protocol.",
        .source = "Chrimes et al. 2022, Anaesthesia 77; the minutes are common practice, no source",
        .context =
            "Only where a tube is known to be in place, exhaled CO2 was seen before and the report "
            "tells of the move; a known arrest does not silence it.",
    };
    struct limits : detail::tube_limits_of<limits> {
        minutes_value within = real{10} * minute;
        static constexpr auto fields() {
            return std::tuple_cat(detail::tube_limits_of<limits>::fields(),
                                  std::tuple{own_limit<limits, units::minute>{
                                      "within", &limits::within, detail::no_source}});
        }
    };
    static constexpr auto concerns = &detail::has_tube;

    /// Whether the handover comes soon enough after the arrival to stand for it.
    static constexpr bool is_one_move(const care_report& r, call_time which, const limits& l) {
        const auto& arrived = r.call->at(call_time::at_destination);
        const auto& handed_over = r.call->at(call_time::transfer_of_care);
        return which == call_time::at_destination && arrived && handed_over &&
               static_cast<double>(seconds_of(*handed_over) - seconds_of(*arrived)) <=
                   detail::seconds_in(l.within);
    }

    /// The first move between this set and the next that no CO2 stands beside. A handover is
    /// looked back from: what follows it is the hospital's.
    static constexpr const set_time* unproved(const care_report& r, std::size_t set,
                                              const limits& l) {
        for (const call_time which :
             {call_time::left_scene, call_time::at_destination, call_time::transfer_of_care}) {
            const auto& at = r.call->at(which);
            if (!at || !detail::belongs_to(r, set, seconds_of(*at)) || is_one_move(r, which, l)) {
                continue;
            }
            const bool handover = which == call_time::transfer_of_care;
            const auto moment = static_cast<double>(seconds_of(*at));
            const double around = detail::seconds_in(l.within);
            if (!detail::is_shown_between(r, handover ? moment - around : moment,
                                          handover ? moment : moment + around, l.reached)) {
                return &*at;
            }
        }
        return nullptr;
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        const auto reached = [&l](const auto& co2) { return detail::reaches(co2, l.reached); };
        return r.call && detail::has_tube(r, set) && detail::is_own(r, set) &&
               detail::first_with_tube(r, reached) <= set && unproved(r, set, l) != nullptr;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits& l, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::exhaled_co2>::mask);
        e.add({"moved", *unproved(r, set, l)});
    }
};

struct tube_colour_only {
    static constexpr check_info info{
        .code = "tube.colour_only",
        .title = "A tube confirmed by a change of colour alone",
        .asks = asks::notice,
        .priority = priority::high,
        .kind = kind::completeness,
        .sign = sign_id::exhaled_co2,
        .question =
            "The tube was confirmed by a device that changes colour, and neither a value of "
            "exhaled CO2 nor a waveform stands in the report. Was one seen later?",
        .expected = "a value of exhaled CO2 or a waveform beside it",
        .why =
            "A colour shows that some CO2 came, not that it keeps coming. For medical direction "
            "first, by local protocol.",
        .source = "Chrimes et al. 2022, Anaesthesia 77",
        .context =
            "Only where the report tells how the tube was confirmed and that it is in place; a "
            "known arrest does not silence it.",
    };
    struct limits : detail::tube_limits_of<limits> {};

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        const auto any = [](const auto&) { return true; };
        const auto reached = [&l](const auto& co2) { return detail::reaches(co2, l.reached); };
        return detail::any_event(r, event_kind::tube_confirmed_by_colour) &&
               !detail::any_event(r, event_kind::tube_confirmed_by_co2) &&
               detail::first_with_tube(r, any) == set &&
               detail::first_with_tube(r, reached) == r.sets.size();
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::exhaled_co2>::mask);
    }
};

using tube_family = check_list<tube_without_co2, tube_lost_co2, tube_after_move, tube_colour_only>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
