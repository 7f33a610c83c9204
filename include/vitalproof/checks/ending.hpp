// How a call ended, against the vital signs of its report.
// Used by the catalogue. Promises questions about documentation, which defer to local protocol:
// whether care was right is not asked here.
#pragma once

#include <vitalproof/checks/tube.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

constexpr bool is_own(const care_report& r, std::size_t set) {
    return !known_of(r, set).is(fact::prior_care);
}

constexpr bool ended_as(const care_report& r, disposition how) {
    return r.call && r.call->ended == how;
}

template <VitalSign S>
constexpr bool is_above_zero(const vital_set& set) {
    return set[S{}].is_number() && set[S{}].raw() > 0;
}

template <VitalSign S>
constexpr std::uint32_t bit_if(const vital_set& set, bool holds) {
    return set[S{}].is_number() && holds ? 1U << index_of(S::info.id) : 0U;
}

/// Signs of life: a rate or a pressure that is not zero.
constexpr std::uint32_t signs_of_life(const vital_set& set) {
    return bit_if<sign::systolic>(set, is_above_zero<sign::systolic>(set)) |
           bit_if<sign::pulse>(set, is_above_zero<sign::pulse>(set)) |
           bit_if<sign::respiratory_rate>(set, is_above_zero<sign::respiratory_rate>(set)) |
           bit_if<sign::saturation>(set, is_above_zero<sign::saturation>(set));
}

constexpr std::uint32_t numbers_in(const vital_set& set) {
    std::uint32_t signs = 0;
    for_each_sign(all_signs{}, [&]<VitalSign S>(S) { signs |= bit_if<S>(set, true); });
    return signs;
}

/// The first set of a report with a sign of the kind `signs` tells, taken by this crew.
template <class Signs>
constexpr bool is_first_with(const care_report& r, std::size_t set, Signs&& signs) {
    for (std::size_t i = 0; i < set; ++i) {
        if (is_own(r, i) && signs(r.sets[i]) != 0) {
            return false;
        }
    }
    return is_own(r, set) && signs(r.sets[set]) != 0;
}

}  // namespace detail

struct ending_abnormal_refusal {
    static constexpr check_info info{
        .code = "ending.abnormal_refusal",
        .title = "Not transported after abnormal last vital signs",
        .asks = asks::query,
        .priority = priority::first,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "The last set before a refusal or a release holds {readings}. Does the documentation "
            "show what the patient was told and could decide, and who was asked, as the local "
            "protocol has it?",
        .expected = "usual values in the last set, or documentation of the decision",
        .why =
            "A refusal or release over abnormal vital signs is the trade's highest risk; its "
            "documentation decides how it is seen later.",
        .source = "common practice, no source",
        .context =
            "Only where the report says that the patient refused or was not transported. Of a "
            "child, pressure, pulse and breathing are left to the limits of its age.",
        .about = "readings",
    };
    struct limits {
        quantity<units::point, real> coma_under = real{15} * points;
        quantity<units::mg_per_dl, real> glucose_under = real{60} * mg_per_dL;
        quantity<units::percent, real> saturation_under = real{90} * percent;
        quantity<units::mmhg, real> systolic_under = real{90} * mmHg;
        quantity<units::per_minute, real> breathing_under = real{10} * per_minute;
        quantity<units::per_minute, real> breathing_over = real{29} * per_minute;
        quantity<units::per_minute, real> pulse_over = real{120} * per_minute;
        static constexpr auto fields() {
            constexpr std::string_view source = "common practice, no source";
            return std::tuple{
                own_limit<limits, units::point>{"coma_under", &limits::coma_under, source},
                own_limit<limits, units::mg_per_dl>{"glucose_under", &limits::glucose_under,
                                                    source},
                own_limit<limits, units::percent>{"saturation_under", &limits::saturation_under,
                                                  source},
                own_limit<limits, units::mmhg>{"systolic_under", &limits::systolic_under, source},
                own_limit<limits, units::per_minute>{"breathing_under", &limits::breathing_under,
                                                     source},
                own_limit<limits, units::per_minute>{"breathing_over", &limits::breathing_over,
                                                     source},
                own_limit<limits, units::per_minute>{"pulse_over", &limits::pulse_over, source}};
        }
    };

    /// The abnormal signs of a set.
    static constexpr std::uint32_t abnormal(const vital_set& set, bool child, const limits& l) {
        const auto under = [](const auto& r, const auto& limit) {
            return r.state() == reading_state::below ||
                   (r.is_number() && r.raw() < static_cast<double>(limit.value()));
        };
        const auto over = [](const auto& r, const auto& limit) {
            return r.is_number() && r.raw() > static_cast<double>(limit.value());
        };
        const auto bit = [](sign_id sign, bool holds) { return holds ? 1U << index_of(sign) : 0U; };
        return bit(sign_id::coma_total, under(set.coma_total, l.coma_under)) |
               bit(sign_id::glucose, under(set.glucose, l.glucose_under)) |
               bit(sign_id::saturation, under(set.saturation, l.saturation_under)) |
               bit(sign_id::systolic, !child && under(set.systolic, l.systolic_under)) |
               bit(sign_id::respiratory_rate,
                   !child && (under(set.respiratory_rate, l.breathing_under) ||
                              over(set.respiratory_rate, l.breathing_over))) |
               bit(sign_id::pulse, !child && over(set.pulse, l.pulse_over)) |
               bit(sign_id::ecg_rate, !child && over(set.ecg_rate, l.pulse_over));
    }

    static constexpr bool is_child(const care_report& r) {
        return facts_of_age(r.age).overlaid_by(r.known).is(fact::child);
    }

    static constexpr bool is_last_own(const care_report& r, std::size_t set) {
        for (std::size_t i = set + 1; i < r.sets.size(); ++i) {
            if (detail::is_own(r, i) && detail::numbers_in(r.sets[i]) != 0) {
                return false;
            }
        }
        return detail::is_own(r, set);
    }

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        const bool stayed = detail::ended_as(r, disposition::refused) ||
                            detail::ended_as(r, disposition::not_transported);
        return stayed && is_last_own(r, set) && abnormal(r.sets[set], is_child(r), l) != 0;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits& l, Evidence& e) {
        detail::add_readings(e, r.sets[set], abnormal(r.sets[set], is_child(r), l));
    }
};

struct ending_dead_on_scene {
    static constexpr check_info info{
        .code = "ending.dead_on_scene",
        .title = "Dead on scene, and signs of life",
        .asks = asks::query,
        .priority = priority::first,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "The report says that the patient was dead on scene without resuscitation, and this "
            "set holds {readings}. Which of the two holds, and who took the values?",
        .expected = "no pulse, no breathing, no pressure",
        .why = "A value carried over from another report looks so, and so does a life.",
        .source = "common practice, no source",
        .context = "Silent for a set taken before this crew's care.",
        .about = "readings",
    };
    using limits = no_limits;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return detail::ended_as(r, disposition::dead_on_scene) &&
               detail::is_first_with(r, set, detail::signs_of_life);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], detail::signs_of_life(r.sets[set]));
    }
};

struct ending_no_patient {
    static constexpr check_info info{
        .code = "ending.no_patient",
        .title = "No patient, and vital signs",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "The report says that there was no patient, and this set holds {readings}. Do they "
            "belong to another report?",
        .expected = "no vital signs",
        .why = "Vital signs need somebody; either the ending or the report is another's.",
        .source = "common practice, no source",
        .context = "Silent for a set taken before this crew's care.",
        .about = "readings",
    };
    using limits = no_limits;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return detail::ended_as(r, disposition::no_patient) &&
               detail::is_first_with(r, set, detail::numbers_in);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], detail::numbers_in(r.sets[set]));
    }
};

using ending_family = check_list<ending_abnormal_refusal, ending_dead_on_scene, ending_no_patient>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
