// Values that stand and are dangerous: for the reviewer, never part of the crew's queue.
// A value that is impossible does not stand and is left to the checks that reject it.
// Used by the catalogue; left out with `--without clinical`. Promises to speak of a value, not of
// care: what was right to do is for local protocols, medical direction and licensed practice.
// Adult bounds are those at which NEWS2 (Royal College of Physicians 2017, scale 1) gives its
// highest score or the national field-triage guideline 2021 draws its line.
#pragma once

#include <vitalproof/checks/pressure.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

inline constexpr std::string_view clinical_question =
    "{label} {charted}: was it taken again, and what followed?";

/// Where the ECG rate stands in for a pulse that is none; `rate` is the one that was judged.
inline constexpr std::string_view clinical_rate_question =
    "Pulse or ECG rate {rate}: was it taken again, and what followed?";

/// Description of a clinical check; most share their question.
constexpr check_info clinical_info(std::string_view code, std::string_view title, sign_id sign,
                                   priority first, std::string_view expected, std::string_view why,
                                   std::string_view source, std::string_view context = "",
                                   std::string_view question = clinical_question) {
    return {.code = code,
            .title = title,
            .asks = asks::notice,
            .priority = first,
            .kind = kind::clinical,
            .sign = sign,
            .question = question,
            .expected = expected,
            .why = why,
            .source = source,
            .context = context};
}

struct clinical_systolic_low {
    static constexpr auto info =
        clinical_info("clinical.systolic_low", "Low systolic", sign_id::systolic, priority::high,
                      "from {adult}; from {over_64} at 65 and over; by age in children",
                      "Possible shock at any age; in the old a usual-looking pressure may be low.",
                      "national field-triage guideline 2021; children: PALS, from memory",
                      "The bound follows the age: by year in children, higher at 65 and over.");
    using needs = sign_list<sign::systolic>;
    using sees = sign_list<>;
    struct limits {
        pressure_value adult = real{90} * mmHg;
        pressure_value over_64 = real{110} * mmHg;
        static constexpr auto fields() {
            constexpr std::string_view source = "national field-triage guideline 2021";
            return std::tuple{own_limit<limits, units::mmhg>{"adult", &limits::adult, source},
                              own_limit<limits, units::mmhg>{"over_64", &limits::over_64, source}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        const auto systolic = v.value<sign::systolic>();
        return any(v.is_somewhere(fact::child), systolic < l.adult,
                   all(v.is_somewhere(fact::over_64), systolic < l.over_64));
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto systolic = r.value<sign::systolic>();
        const bool child = c.is(fact::child);
        const bool old = c.is(fact::over_64);
        return all(any(all(child, systolic < c.of_age<units::mmhg>(age_limit::hypotension)),
                       all(!child, systolic < l.adult), all(old, systolic < l.over_64)),
                   c.is_possible<sign::systolic>(systolic));
    }
};

struct clinical_systolic_high {
    static constexpr auto info = clinical_info(
        "clinical.systolic_high", "Very high systolic", sign_id::systolic, priority::normal,
        "under {from}", "Seen in stroke and heart failure.", "NEWS2: 220 and over scores 3");
    using needs = sign_list<sign::systolic>;
    using sees = sign_list<>;
    struct limits {
        pressure_value from = real{220} * mmHg;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::mmhg>{"from", &limits::from, "NEWS2"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.value<sign::systolic>() >= l.from;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto systolic = r.value<sign::systolic>();
        return all(systolic >= l.from, c.is_possible<sign::systolic>(systolic));
    }
};

struct clinical_narrow_pulse_pressure {
    static constexpr auto info = clinical_info(
        "clinical.narrow_pulse_pressure", "Pulse pressure a quarter of systolic or less",
        sign_id::systolic, priority::normal, "pulse pressure above {share} of systolic",
        "May point to a low stroke volume.", "common practice, no source",
        "Silent with an assist device.",
        "Pressure {systolic} over {diastolic}: was it taken again, and what followed?");
    using needs = sign_list<sign::systolic, sign::diastolic>;
    using sees = sign_list<>;
    struct limits {
        quantity<units::percent, real> share = real{25} * percent;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::percent>{"share", &limits::share,
                                                                "common practice, no source"}};
        }
    };

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto systolic = r.value<sign::systolic>();
        const auto diastolic = r.value<sign::diastolic>();
        return all(systolic > diastolic,
                   systolic - diastolic <= systolic * (l.share.value() / real{100}),
                   !c.is(fact::assist_device));
    }
};

/// The pulse or, where there is none, the ECG rate.
constexpr quantity<units::per_minute, real> pulse_or_ecg_rate(const readings& r) {
    const auto pulse = r.value<sign::pulse>();
    // NOLINTNEXTLINE(misc-redundant-expression): only a NaN differs from itself
    return pulse == pulse ? pulse : r.value<sign::ecg_rate>();
}

struct clinical_pulse_low {
    static constexpr auto info = clinical_info(
        "clinical.pulse_low", "Slow pulse", sign_id::pulse, priority::high,
        "above {at_most}; by age in children", "40 to 50 is usual only in the trained.",
        "NEWS2: 40 and under scores 3; children: Fleming 2011, 1st centile less 20 %",
        "The bound follows the age in children; silent in a known trained heart above 35, and with "
        "an assist device.",
        clinical_rate_question);
    using needs = sign_list<>;
    using sees = sign_list<sign::pulse, sign::ecg_rate>;
    struct limits {
        quantity<units::per_minute, real> at_most = real{40} * per_minute;
        quantity<units::per_minute, real> trained = real{35} * per_minute;
        static constexpr auto fields() {
            return std::tuple{
                own_limit<limits, units::per_minute>{"at_most", &limits::at_most, "NEWS2"},
                own_limit<limits, units::per_minute>{"trained", &limits::trained,
                                                     "common practice, no source"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        const auto pulse = v.value<sign::pulse>();
        const auto ecg = v.value<sign::ecg_rate>();
        return any(v.is_somewhere(fact::child), pulse <= l.at_most, ecg <= l.at_most,
                   pulse <= l.trained, ecg <= l.trained);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto rate = pulse_or_ecg_rate(r);
        const bool child = c.is(fact::child);
        const bool trained = c.is(fact::trained_heart);
        const bool slow =
            any(all(child, rate < c.of_age<units::per_minute>(age_limit::pulse_low)),
                all(!child, !trained, rate <= l.at_most), all(!child, trained, rate <= l.trained));
        return all(slow, c.is_possible<sign::pulse>(rate), !c.is(fact::assist_device));
    }

    template <class Evidence>
    static void explain(const readings& r, Evidence& evidence) {
        evidence.add("rate", pulse_or_ecg_rate(r));
    }
};

struct clinical_pulse_high {
    static constexpr auto info = clinical_info(
        "clinical.pulse_high", "Fast pulse", sign_id::pulse, priority::high,
        "under {from}; by age in children",
        "Pain, fear, infection and exertion reach 150; above it look at the heart itself.",
        "NEWS2: 131 and over scores 3; children: Fleming 2011, 99th centile plus 20 %",
        "The bound follows the age in children.", clinical_rate_question);
    using needs = sign_list<>;
    using sees = sign_list<sign::pulse, sign::ecg_rate>;
    struct limits {
        quantity<units::per_minute, real> from = real{131} * per_minute;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::per_minute>{"from", &limits::from, "NEWS2"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return any(v.is_somewhere(fact::child), v.value<sign::pulse>() >= l.from,
                   v.value<sign::ecg_rate>() >= l.from);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto rate = pulse_or_ecg_rate(r);
        const bool child = c.is(fact::child);
        return all(any(all(child, rate > c.of_age<units::per_minute>(age_limit::pulse_high)),
                       all(!child, rate >= l.from)),
                   c.is_possible<sign::pulse>(rate));
    }

    template <class Evidence>
    static void explain(const readings& r, Evidence& evidence) {
        evidence.add("rate", pulse_or_ecg_rate(r));
    }
};

struct clinical_pulse_above_systolic {
    static constexpr auto info = clinical_info(
        "clinical.pulse_above_systolic", "Pulse above systolic", sign_id::pulse, priority::high,
        "pulse at or under systolic", "A shock index over 1.",
        "national field-triage guideline 2021", "Not in children, whose pulse is often above.",
        "Pulse {pulse} with systolic {systolic}: were they taken again, and what followed?");
    using needs = sign_list<sign::pulse, sign::systolic>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        const auto systolic = r.value<sign::systolic>();
        const auto pulse = r.value<sign::pulse>();
        return all(pulse.value() > systolic.value(), systolic > real{0} * mmHg,
                   c.is_possible<sign::pulse>(pulse), !c.is(fact::child));
    }
};

struct clinical_breathing_low {
    static constexpr auto info = clinical_info(
        "clinical.breathing_low", "Slow breathing", sign_id::respiratory_rate, priority::high,
        "from {under}; by age in children",
        "Look for inadequate breathing; rate alone never decides.",
        "national field-triage guideline 2021; children: Fleming 2011, 1st centile less 20 %",
        "The bound follows the age in children; silent when ventilated.");
    using needs = sign_list<sign::respiratory_rate>;
    using sees = sign_list<>;
    struct limits {
        quantity<units::per_minute, real> under = real{10} * per_minute;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::per_minute>{
                "under", &limits::under, "national field-triage guideline 2021"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return any(v.is_somewhere(fact::child), v.value<sign::respiratory_rate>() < l.under);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto rate = r.value<sign::respiratory_rate>();
        const bool child = c.is(fact::child);
        return all(any(all(child, rate < c.of_age<units::per_minute>(age_limit::breathing_low)),
                       all(!child, rate < l.under)),
                   c.is_possible<sign::respiratory_rate>(rate), !c.is(fact::ventilated));
    }
};

struct clinical_breathing_high {
    static constexpr auto info = clinical_info(
        "clinical.breathing_high", "Fast breathing", sign_id::respiratory_rate, priority::high,
        "at most {over}; by age in children",
        "Look for inadequate breathing; rate alone never decides.",
        "national field-triage guideline 2021; children: Fleming 2011, 99th centile plus 20 %",
        "The bound follows the age in children; silent when ventilated.");
    using needs = sign_list<sign::respiratory_rate>;
    using sees = sign_list<>;
    struct limits {
        quantity<units::per_minute, real> over = real{29} * per_minute;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::per_minute>{
                "over", &limits::over, "national field-triage guideline 2021"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return any(v.is_somewhere(fact::child), v.value<sign::respiratory_rate>() > l.over);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto rate = r.value<sign::respiratory_rate>();
        const bool child = c.is(fact::child);
        return all(any(all(child, rate > c.of_age<units::per_minute>(age_limit::breathing_high)),
                       all(!child, rate > l.over)),
                   c.is_possible<sign::respiratory_rate>(rate), !c.is(fact::ventilated));
    }
};

struct clinical_saturation_low {
    static constexpr auto info = clinical_info(
        "clinical.saturation_low", "Low saturation", sign_id::saturation, priority::high,
        "from {under}; from {chronic_lung} in known COPD, from {just_born} just after birth",
        "88 to 92 is a target in COPD; at altitude the agency sets its own bound.",
        "national field-triage guideline 2021",
        "Silent with an assist device, where saturation is unreliable, and in the first ten "
        "minutes "
        "of life, which have bounds of their own; in known COPD the lower bound applies.");
    using needs = sign_list<sign::saturation>;
    using sees = sign_list<>;
    struct limits {
        quantity<units::percent, real> under = real{90} * percent;
        quantity<units::percent, real> chronic_lung = real{88} * percent;
        quantity<units::percent, real> just_born = real{60} * percent;
        static constexpr auto fields() {
            return std::tuple{
                own_limit<limits, units::percent>{"under", &limits::under,
                                                  "national field-triage guideline 2021"},
                own_limit<limits, units::percent>{"chronic_lung", &limits::chronic_lung,
                                                  "common practice, no source"},
                own_limit<limits, units::percent>{"just_born", &limits::just_born,
                                                  "neonatal resuscitation targets, from memory"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        const auto saturation = v.value<sign::saturation>();
        return any(saturation < l.under, saturation < l.chronic_lung, saturation < l.just_born);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto saturation = r.value<sign::saturation>();
        const bool born = c.is(fact::just_born);
        const bool lung = all(!born, c.is(fact::chronic_lung));
        return all(any(all(!lung, !born, saturation < l.under),
                       all(lung, saturation < l.chronic_lung), all(born, saturation < l.just_born)),
                   saturation > real{0} * percent, !c.is(fact::assist_device));
    }
};

struct clinical_glucose_low {
    static constexpr auto info = clinical_info(
        "clinical.glucose_low", "Low glucose", sign_id::glucose, priority::high,
        "from {under}; from {newborn} under 28 days", "Includes LO: below what the meter can read.",
        "common practice, no source; newborns: neonatal targets, from memory",
        "Under 28 days of age the newborn's bound applies.");
    using needs = sign_list<>;
    using sees = sign_list<sign::glucose>;
    struct limits {
        quantity<units::mg_per_dl, real> under = real{60} * mg_per_dL;
        quantity<units::mg_per_dl, real> newborn = real{45} * mg_per_dL;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::mg_per_dl>{"under", &limits::under,
                                                                  "common practice, no source"},
                              own_limit<limits, units::mg_per_dl>{"newborn", &limits::newborn,
                                                                  "neonatal targets, from memory"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        const auto glucose = v.value<sign::glucose>();
        return any(glucose < l.under, glucose < l.newborn);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto glucose = r.value<sign::glucose>();
        const bool newborn = c.is(fact::newborn);
        // LO lies below every number; zero is not measured.
        return all(any(all(!newborn, glucose < l.under), all(newborn, glucose < l.newborn)),
                   any(r.is<sign::glucose>(reading_state::below), glucose > real{0} * mg_per_dL));
    }
};

struct clinical_glucose_above_meter {
    static constexpr auto info =
        clinical_info("clinical.glucose_above_meter", "Glucose above the meter's span",
                      sign_id::glucose, priority::high, "a number within the meter's span",
                      "HI is a true and critical reading.", "common practice, no source");
    using needs = sign_list<>;
    using sees = sign_list<sign::glucose>;
    using limits = no_limits;

    static constexpr bool odd_states_only = true;

    static constexpr bool fires(const readings& r, const context&, const limits&) {
        return r.is<sign::glucose>(reading_state::above);
    }
};

struct clinical_temperature_low {
    static constexpr auto info = clinical_info(
        "clinical.temperature_low", "Low temperature", sign_id::temperature, priority::normal,
        "above {at_most}", "Skin and ear devices under 32 are mostly device error.",
        "NEWS2: 35.0 and under scores 3");
    using needs = sign_list<sign::temperature>;
    using sees = sign_list<>;
    struct limits {
        quantity<units::celsius, real> at_most = real{35} * degC;
        static constexpr auto fields() {
            return std::tuple{
                own_limit<limits, units::celsius>{"at_most", &limits::at_most, "NEWS2"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.value<sign::temperature>() <= l.at_most;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto temperature = r.value<sign::temperature>();
        return all(temperature <= l.at_most, c.is_possible<sign::temperature>(temperature));
    }
};

struct clinical_temperature_high {
    static constexpr auto info = clinical_info(
        "clinical.temperature_high", "High temperature", sign_id::temperature, priority::normal,
        "under {from}", "Infection, heat or a drug.", "NEWS2: 39.1 and over scores 2");
    using needs = sign_list<sign::temperature>;
    using sees = sign_list<>;
    struct limits {
        quantity<units::celsius, real> from = real{39.1F} * degC;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::celsius>{"from", &limits::from, "NEWS2"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.value<sign::temperature>() >= l.from;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto temperature = r.value<sign::temperature>();
        return all(temperature >= l.from, c.is_possible<sign::temperature>(temperature));
    }
};

struct clinical_coma_low {
    static constexpr auto info = clinical_info(
        "clinical.coma_low", "Coma score 8 or less", sign_id::coma_total, priority::high,
        "above {at_most}", "The airway may not be safe.", "common practice, no source");
    using needs = sign_list<sign::coma_total>;
    using sees = sign_list<>;
    struct limits {
        quantity<units::point, real> at_most = real{8} * points;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::point>{"at_most", &limits::at_most,
                                                              "common practice, no source"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.value<sign::coma_total>() <= l.at_most;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto total = r.value<sign::coma_total>();
        return all(total <= l.at_most, c.is_possible<sign::coma_total>(total));
    }
};

struct clinical_unresponsive {
    static constexpr auto info = clinical_info(
        "clinical.unresponsive", "Unresponsive", sign_id::responsiveness, priority::high, "alert",
        "The lowest level of consciousness.", "common practice, no source", "",
        "Charted as unresponsive: was the level taken again, and what followed?");
    using needs = sign_list<sign::responsiveness>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return v.value<sign::responsiveness>().value() >=
               static_cast<real>(responsiveness_level::unresponsive);
    }

    static constexpr bool fires(const readings& r, const context&, const limits&) {
        return r.is_at<sign::responsiveness>(responsiveness_level::unresponsive);
    }
};

using clinical_family =
    check_list<clinical_systolic_low, clinical_systolic_high, clinical_narrow_pulse_pressure,
               clinical_pulse_low, clinical_pulse_high, clinical_pulse_above_systolic,
               clinical_breathing_low, clinical_breathing_high, clinical_saturation_low,
               clinical_glucose_low, clinical_glucose_above_meter, clinical_temperature_low,
               clinical_temperature_high, clinical_coma_low, clinical_unresponsive>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
