// The national EMS data standard's own rules on vital signs: how a set is charted, and its time
// against the times of its call.
// Used by the catalogue. Promises our words for the standard's rules, and nothing beyond them: they
// compare no reading with another. Asked only of reports whose source tells of its call.
#pragma once

#include <vitalproof/checks/of_report.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

constexpr bool is_prior(const care_report& r, std::size_t set) {
    return r.sets[set].known.is(fact::prior_care);
}

constexpr bool is_before(const care_report& r, std::size_t set, call_time which) {
    return seconds_after(r, set, which).value_or(0) < 0;
}
constexpr bool is_after(const care_report& r, std::size_t set, call_time which) {
    return seconds_after(r, set, which).value_or(0) > 0;
}

/// Whether any of the standard's rules on how a set is charted was broken.
constexpr bool is_at_fault(const care_report& r, std::size_t set) {
    return r.sets[set].faults != charting_faults{};
}

inline constexpr std::string_view prior_care_is_exempt =
    "Silent for a set taken before this unit's care.";

}  // namespace detail

struct standard_empty {
    static constexpr check_info info{
        .code = "standard.empty",
        .title = "No value, and no reason for that",
        .asks = asks::query,
        .priority = priority::low,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "There is neither a value nor a reason for its absence: {readings}. Was it not "
            "recorded, not applicable, refused, or was it not possible?",
        .expected = "a value, or a reason why there is none",
        .why = "An absence with a reason is an answer; an empty field is none.",
        .source = "national rule e001 (NEMSIS v3.5.0)",
        .context = "",
        .about = "readings",
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::is_at_fault;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return r.sets[set].faults.empty != 0;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], r.sets[set].faults.empty);
    }
};

struct standard_value_and_none {
    static constexpr check_info info{
        .code = "standard.value_and_none",
        .title = "A value beside \"not recorded\" or \"not applicable\"",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::conformance,
        .sign = sign_id::systolic,
        .question =
            "A value stands beside \"not recorded\" or \"not applicable\": {readings}. Which of "
            "the two holds?",
        .expected = "a value or a reason for its absence, not both",
        .why = "Whoever reads the report takes one of the two and cannot know which.",
        .source = "national rule e002 (NEMSIS v3.5.0)",
        .context = "",
        .about = "readings",
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::is_at_fault;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return r.sets[set].faults.value_and_none != 0;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], r.sets[set].faults.value_and_none);
    }
};

struct standard_value_and_negative {
    static constexpr check_info info{
        .code = "standard.value_and_negative",
        .title = "A value beside \"refused\" or \"unable to complete\"",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::conformance,
        .sign = sign_id::systolic,
        .question =
            "A value stands beside a statement that there is none: {readings}. Which of the "
            "two holds?",
        .expected = "a value or a reason for its absence, not both",
        .why = "Whoever reads the report takes one of the two and cannot know which.",
        .source = "national rule e008 (NEMSIS v3.5.0)",
        .context = "",
        .about = "readings",
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::is_at_fault;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return r.sets[set].faults.value_and_negative != 0;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], r.sets[set].faults.value_and_negative);
    }
};

struct standard_time_missing {
    static constexpr check_info info{
        .code = "standard.time_missing",
        .title = "A set without a time",
        .asks = asks::query,
        .priority = priority::low,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question = "This set has no time. When was it taken?",
        .expected = "a time",
        .why = "Without it nothing tells what came before what.",
        .source = "national rule e125 (NEMSIS v3.5.0)",
        .context = detail::prior_care_is_exempt,
        .about = "taken_at",
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::is_at_fault;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return r.sets[set].faults.no_time && !detail::is_prior(r, set);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        static_cast<void>(r), static_cast<void>(set), static_cast<void>(e);
    }
};

struct standard_before_notified {
    static constexpr check_info info{
        .code = "standard.before_notified",
        .title = "Taken before the unit was notified",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "This set is timed before the unit was notified ({unit_notified}). Please check "
            "its time, and whether others took it.",
        .expected = "a time after the unit was notified",
        .why =
            "A crew cannot take vital signs before it is called; a monitor whose clock is "
            "off can say so.",
        .source = "national rule e126 (NEMSIS v3.5.0)",
        .context = detail::prior_care_is_exempt,
        .about = "taken_at",
    };
    using limits = no_limits;

    static constexpr bool is_in_question(const care_report& r, std::size_t set, const limits&) {
        return !detail::is_prior(r, set) && detail::is_before(r, set, call_time::unit_notified);
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        return detail::is_first_in_question<standard_before_notified>(r, set, l);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t /*set*/, const limits&, Evidence& e) {
        detail::add_call_time(e, r, call_time::unit_notified);
    }
};

struct standard_before_patient {
    static constexpr check_info info{
        .code = "standard.before_patient",
        .title = "Taken before the patient was reached",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "This set is timed before the patient was reached ({at_patient}). Please check "
            "both times, and whether others took it.",
        .expected = "a time after the patient was reached",
        .why = "One of the two clocks is off, or the set was taken by others.",
        .source = "national rule e127 (NEMSIS v3.5.0)",
        .context = detail::prior_care_is_exempt,
        .about = "taken_at",
    };
    using limits = no_limits;

    static constexpr bool is_in_question(const care_report& r, std::size_t set, const limits&) {
        return !detail::is_prior(r, set) && detail::is_before(r, set, call_time::at_patient);
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        return detail::is_first_in_question<standard_before_patient>(r, set, l);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t /*set*/, const limits&, Evidence& e) {
        detail::add_call_time(e, r, call_time::at_patient);
    }
};

struct standard_after_transfer {
    static constexpr check_info info{
        .code = "standard.after_transfer",
        .title = "Taken after the transfer of care",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "This set is timed after the transfer of care ({transfer_of_care}). Please "
            "check both times.",
        .expected = "a time before the transfer of care",
        .why = "After it the patient is in other hands.",
        .source = "national rule e128 (NEMSIS v3.5.0)",
        .context = "",
        .about = "taken_at",
    };
    using limits = no_limits;

    static constexpr bool is_in_question(const care_report& r, std::size_t set, const limits&) {
        return detail::is_after(r, set, call_time::transfer_of_care);
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        return detail::is_first_in_question<standard_after_transfer>(r, set, l);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t /*set*/, const limits&, Evidence& e) {
        detail::add_call_time(e, r, call_time::transfer_of_care);
    }
};

struct standard_after_service {
    static constexpr check_info info{
        .code = "standard.after_service",
        .title = "Taken after the unit was back in service",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "This set is timed after the unit was back in service ({back_in_service}). "
            "Please check both times.",
        .expected = "a time before the unit was back in service",
        .why = "A unit back in service has no patient.",
        .source = "national rule e129 (NEMSIS v3.5.0)",
        .context = "",
        .about = "taken_at",
    };
    using limits = no_limits;

    static constexpr bool is_in_question(const care_report& r, std::size_t set, const limits&) {
        return detail::is_after(r, set, call_time::back_in_service);
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        return detail::is_first_in_question<standard_after_service>(r, set, l);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t /*set*/, const limits&, Evidence& e) {
        detail::add_call_time(e, r, call_time::back_in_service);
    }
};

struct standard_prior_after_patient {
    static constexpr check_info info{
        .code = "standard.prior_after_patient",
        .title = "Prior care, timed after the patient was reached",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "This set is said to be taken before this unit's care, and is timed after the "
            "patient was reached ({at_patient}). Please check which holds.",
        .expected = "a time before the patient was reached",
        .why = "Either the set is this crew's own, or one of the clocks is off.",
        .source = "national rule e130 (NEMSIS v3.5.0)",
        .context = "Only for a set taken before this unit's care.",
        .about = "taken_at",
    };
    using limits = no_limits;

    static constexpr bool is_in_question(const care_report& r, std::size_t set, const limits&) {
        return detail::is_prior(r, set) && detail::is_after(r, set, call_time::at_patient);
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        return detail::is_first_in_question<standard_prior_after_patient>(r, set, l);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t /*set*/, const limits&, Evidence& e) {
        detail::add_call_time(e, r, call_time::at_patient);
    }
};

struct standard_co2_percent {
    static constexpr check_info info{
        .code = "standard.co2_percent",
        .title = "Exhaled CO2 above 100 percent",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::conformance,
        .sign = sign_id::exhaled_co2,
        .question = "Exhaled CO2 is charted as {charted}. Is it in mmHg?",
        .expected = "at most 100 %",
        .why = "No share of a gas is more than the whole.",
        .source = "national rule e131 (NEMSIS v3.5.0)",
        .context = "",
        .about = {},
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::is_at_fault;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return r.sets[set].faults.co2_over_100_percent;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::exhaled_co2>::mask);
    }
};

struct standard_co2_kilopascal {
    static constexpr check_info info{
        .code = "standard.co2_kilopascal",
        .title = "Exhaled CO2 above 100 kPa",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::conformance,
        .sign = sign_id::exhaled_co2,
        .question = "Exhaled CO2 is charted as {charted}. Is it in mmHg?",
        .expected = "at most 100 kPa",
        .why = "100 kPa is the pressure of all the air there is.",
        .source = "national rule e132 (NEMSIS v3.5.0)",
        .context = "",
        .about = {},
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::is_at_fault;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return r.sets[set].faults.co2_over_100_kpa;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::exhaled_co2>::mask);
    }
};

struct standard_co2_not_whole {
    static constexpr check_info info{
        .code = "standard.co2_not_whole",
        .title = "Exhaled CO2 in mmHg with a fraction",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::conformance,
        .sign = sign_id::exhaled_co2,
        .question =
            "Exhaled CO2 is charted as {charted}, with a fraction. Is it in kPa or percent?",
        .expected = "a whole number of mmHg",
        .why = "Monitors show whole mmHg; a fraction tells of another unit.",
        .source = "national rule e133 (NEMSIS v3.5.0)",
        .context = "",
        .about = {},
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::is_at_fault;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return r.sets[set].faults.co2_not_whole;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::exhaled_co2>::mask);
    }
};

struct standard_co2_without_unit {
    static constexpr check_info info{
        .code = "standard.co2_without_unit",
        .title = "Exhaled CO2 without a unit",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::conformance,
        .sign = sign_id::exhaled_co2,
        .question =
            "Exhaled CO2 is charted as {charted} without its unit. Is it in mmHg, kPa or "
            "percent?",
        .expected = "mmHg, kPa or percent",
        .why = "A 5 is a good value in one unit and a grave one in another.",
        .source = "national rule e134 (NEMSIS v3.5.0)",
        .context = "",
        .about = {},
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::is_at_fault;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return r.sets[set].faults.co2_without_unit;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::exhaled_co2>::mask);
    }
};

struct standard_coma_qualifiers {
    static constexpr check_info info{
        .code = "standard.coma_qualifiers",
        .title = "Coma score \"without interventions\" and with one",
        .asks = asks::query,
        .priority = priority::low,
        .kind = kind::conformance,
        .sign = sign_id::coma_total,
        .question =
            "The coma score is qualified as without interventions and, beside that, as "
            "limited by one. Which holds?",
        .expected = "one of the two",
        .why =
            "Tubes and sedation take away what the score looks at, so the two say opposite "
            "things.",
        .source = "national rule e135 (NEMSIS v3.5.0)",
        .context = "",
        .about = {},
    };
    using limits = no_limits;
    static constexpr auto concerns = &detail::is_at_fault;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return r.sets[set].faults.coma_qualifiers;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::coma_total>::mask);
    }
};

using standard_family =
    check_list<standard_empty, standard_value_and_none, standard_value_and_negative,
               standard_time_missing, standard_before_notified, standard_before_patient,
               standard_after_transfer, standard_after_service, standard_prior_after_patient,
               standard_co2_percent, standard_co2_kilopascal, standard_co2_not_whole,
               standard_co2_without_unit, standard_coma_qualifiers>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
