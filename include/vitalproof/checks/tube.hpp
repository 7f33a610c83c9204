// A tube in the airway and the exhaled CO2 that proves where it lies.
// Used by the catalogue. Promises the gravest questions of all, which no arrest excuses (Chrimes et
// al. 2022, Anaesthesia 77): asked wherever a source can carry exhaled CO2 and says that a tube is
// in place. They go to medical direction first.
#pragma once

#include <vitalproof/checks/of_report.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

constexpr facts known_of(const care_report& r, std::size_t set) {
    return r.known.overlaid_by(r.sets[set].known);
}

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

using tube_family = check_list<tube_without_co2, tube_lost_co2>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
