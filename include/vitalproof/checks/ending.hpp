// How a call ended, against the vital signs of its report.
// Used by the catalogue. Promises questions about documentation, which defer to local protocol:
// whether care was right is not asked here.
#pragma once

#include <vitalproof/checks/abnormal.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

template <VitalSign S>
constexpr bool is_above_zero(const vital_set& set) {
    return set[S{}].is_number() && set[S{}].raw() > 0;
}

/// Signs of life: a rate or a pressure that is not zero.
constexpr std::uint32_t signs_of_life(const vital_set& set) {
    return bit_if<sign::systolic>(set, is_above_zero<sign::systolic>(set)) |
           bit_if<sign::pulse>(set, is_above_zero<sign::pulse>(set)) |
           bit_if<sign::respiratory_rate>(set, is_above_zero<sign::respiratory_rate>(set)) |
           bit_if<sign::saturation>(set, is_above_zero<sign::saturation>(set));
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
    struct limits : detail::abnormal_limits<limits> {
        static constexpr auto fields() { return abnormal_fields(); }
    };

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        const bool stayed = detail::ended_as(r, disposition::refused) ||
                            detail::ended_as(r, disposition::not_transported);
        return stayed && detail::is_last_own(r, set) &&
               detail::abnormal_signs(r.sets[set], detail::is_child(r), l) != 0;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits& l, Evidence& e) {
        detail::add_readings(e, r.sets[set],
                             detail::abnormal_signs(r.sets[set], detail::is_child(r), l));
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
