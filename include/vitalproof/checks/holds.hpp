// What a report must hold, by how the call ended and why it was made.
// Used by the catalogue. Promises a notice about documentation on a report's first set, once a
// report and check; an absence with a reason is an answer. The lists are our words for common
// practice; local protocol decides.
#pragma once

#include <vitalproof/checks/of_report.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

/// Whether the report's first own set is this one and it had a patient.
constexpr bool opens_report(const care_report& r, std::size_t set) {
    return had_a_patient(r) && first_own(r) == set;
}

constexpr bool is_about(const care_report& r, complaint why) { return r.call->is_about(why); }

/// Whether a sign that the source can carry is answered by no set.
template <VitalSign S>
constexpr bool is_lacking(const care_report& r) {
    return is_carried<S>(r) && !is_answered_somewhere<sign_list<S>>(r);
}

template <VitalSign S>
constexpr std::uint32_t bit_if_lacking(const care_report& r) {
    return is_lacking<S>(r) ? 1U << index_of(S::info.id) : 0U;
}

constexpr bool is_under(const care_report& r, double years) {
    return r.age && r.age->count() >= 0 && r.age->count() < years;
}

inline constexpr std::string_view complaint_context =
    "Only where the report tells why the call was made; silent without a patient, and where a "
    "reason for the absence stands.";

}  // namespace detail

struct holds_vital_signs {
    static constexpr check_info info{
        .code = "holds.vital_signs",
        .title = "A report without one of the first vital signs",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "No set of this report holds a value of these, nor a reason for its absence: "
            "{readings}. Were they taken, refused, or not possible?",
        .expected = "pulse, breathing rate and, from three years on, a pressure, or reasons",
        .why =
            "Of a patient who was carried or let go, a pulse, a breathing rate and a pressure are "
            "expected at least once. Each sign that was refused has that as its reason.",
        .source = detail::no_source,
        .context =
            "Only where the report tells that the patient was transported, transferred, refused or "
            "stayed; no pressure is expected under three years of age; an ECG rate stands for a "
            "pulse.",
        .about = "readings",
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::opens_report;

    static constexpr std::uint32_t lacking(const care_report& r) {
        const bool young = detail::is_under(r, 3);
        const bool other_rate = detail::is_answered_somewhere<sign_list<sign::ecg_rate>>(r);
        return (other_rate ? 0U : detail::bit_if_lacking<sign::pulse>(r)) |
               detail::bit_if_lacking<sign::respiratory_rate>(r) |
               (young ? 0U : detail::bit_if_lacking<sign::systolic>(r));
    }
    static constexpr bool ended_with_a_patient(const care_report& r) {
        return detail::ended_as(r, disposition::transported) ||
               detail::ended_as(r, disposition::transferred) ||
               detail::ended_as(r, disposition::refused) ||
               detail::ended_as(r, disposition::not_transported);
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return detail::opens_report(r, set) && ended_with_a_patient(r) && lacking(r) != 0;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], lacking(r));
    }
};

struct holds_glucose {
    static constexpr check_info info{
        .code = "holds.glucose",
        .title = "An altered mind or a stroke, and no glucose",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::completeness,
        .sign = sign_id::glucose,
        .question =
            "The call was for an altered mind or a stroke, and no set holds a glucose or a reason "
            "for its absence. Was it measured?",
        .expected = "a glucose, or a reason why there is none",
        .why = "A low glucose looks like both. Local protocol decides.",
        .source = detail::no_source,
        .context = detail::complaint_context,
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::opens_report;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return detail::opens_report(r, set) &&
               (detail::is_about(r, complaint::altered_mind) ||
                detail::is_about(r, complaint::stroke)) &&
               detail::is_lacking<sign::glucose>(r);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::glucose>::mask);
    }
};

struct holds_breathing {
    static constexpr check_info info{
        .code = "holds.breathing",
        .title = "Trouble breathing, and no saturation or no rate",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::completeness,
        .sign = sign_id::saturation,
        .question =
            "The call was for trouble breathing, and no set holds a value of these, nor a reason "
            "for its absence: {readings}. Were they taken?",
        .expected = "a saturation and a breathing rate, or reasons",
        .why = "Both are what the complaint is about. Local protocol decides.",
        .source = detail::no_source,
        .context = detail::complaint_context,
        .about = "readings",
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::opens_report;

    static constexpr std::uint32_t lacking(const care_report& r) {
        return detail::bit_if_lacking<sign::saturation>(r) |
               detail::bit_if_lacking<sign::respiratory_rate>(r);
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return detail::opens_report(r, set) && detail::is_about(r, complaint::breathing_trouble) &&
               lacking(r) != 0;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], lacking(r));
    }
};

struct holds_head_injury {
    static constexpr check_info info{
        .code = "holds.head_injury",
        .title = "A head injury, and no saturation or no pressure",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::completeness,
        .sign = sign_id::saturation,
        .question =
            "The call was for a head injury, and no set holds a value of these, nor a reason for "
            "its absence: {readings}. Were they taken?",
        .expected = "a saturation and a pressure, or reasons",
        .why = "A hurt brain suffers from too little of either. Local protocol decides.",
        .source = detail::no_source,
        .context =
            "Only where the report tells why the call was made; no pressure is expected under "
            "three years of age; silent without a patient, and where a reason stands.",
        .about = "readings",
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::opens_report;

    static constexpr std::uint32_t lacking(const care_report& r) {
        return detail::bit_if_lacking<sign::saturation>(r) |
               (detail::is_under(r, 3) ? 0U : detail::bit_if_lacking<sign::systolic>(r));
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return detail::opens_report(r, set) && detail::is_about(r, complaint::head_injury) &&
               lacking(r) != 0;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], lacking(r));
    }
};

namespace detail {

/// What a report lacks beside vital signs is told of its first set, whose time it bears.
constexpr bool is_known_lacking(const std::optional<bool>& holds) { return holds && !*holds; }

}  // namespace detail

struct holds_last_known_well {
    static constexpr check_info info{
        .code = "holds.last_known_well",
        .title = "A stroke, and no time last known well",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "The call was for a stroke, and the report does not say when the patient was last "
            "known well, nor why not. Is the time known?",
        .expected = "a time last known well, or a reason why there is none",
        .why = "What can be done for a stroke depends on it. Local protocol decides.",
        .source = detail::no_source,
        .context =
            "Only where the source can carry the time and tells why the call was made; silent "
            "where a reason stands.",
        .about = "taken_at",
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::opens_report;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return detail::opens_report(r, set) && detail::is_about(r, complaint::stroke) &&
               detail::is_known_lacking(r.call->holds.last_known_well);
    }
    template <class Evidence>
    static void explain(const care_report&, std::size_t, const limits&, Evidence&) {}
};

struct holds_pain_score {
    static constexpr check_info info{
        .code = "holds.pain_score",
        .title = "An injury, and no pain score",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "The call was for an injury, and no set holds a pain score or a reason for its "
            "absence. Was it asked?",
        .expected = "a pain score, or a reason why there is none",
        .why = "Pain that is not asked about is not treated. Local protocol decides.",
        .source = detail::no_source,
        .context =
            "Only where the source can carry the score and tells why the call was made; silent "
            "where a reason stands.",
        .about = "taken_at",
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::opens_report;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return detail::opens_report(r, set) && detail::is_about(r, complaint::injury) &&
               detail::is_known_lacking(r.call->holds.pain_score);
    }
    template <class Evidence>
    static void explain(const care_report&, std::size_t, const limits&, Evidence&) {}
};

struct holds_weight {
    static constexpr check_info info{
        .code = "holds.weight",
        .title = "A child, and no weight",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "The patient is a child, and the report holds neither a weight in kilograms nor a "
            "reason for its absence. Was it estimated or measured?",
        .expected = "a weight in kilograms, or a reason why there is none",
        .why = "A child's doses go by weight. Local protocol decides.",
        .source = detail::no_source,
        .context =
            "Only where the source can carry a weight and the age is known to be under sixteen "
            "years; silent where a reason stands.",
        .about = "taken_at",
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::opens_report;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return detail::opens_report(r, set) && detail::is_child(r) &&
               detail::is_known_lacking(r.call->holds.weight);
    }
    template <class Evidence>
    static void explain(const care_report&, std::size_t, const limits&, Evidence&) {}
};

using holds_family =
    check_list<holds_vital_signs, holds_glucose, holds_breathing, holds_head_injury,
               holds_last_known_well, holds_pain_score, holds_weight>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
