// Readings of one set that cannot be true together.
// Used by the catalogue. Promises to know the states in which they can: compressions give stray
// pressures and saturations without a pulse, a ventilator gives CO2 without breathing, an assist
// device a pressure without a pulse.
#pragma once

#include <vitalproof/checks/zero.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

struct pulse_none_with_pressure {
    static constexpr check_info info{
        .code = "contradiction.pulse_none_with_pressure",
        .title = "No pulse, yet a pressure",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::pulse,
        .question = "Pulse {pulse} is charted with systolic {systolic}. Was there a pulse?",
        .expected = "a pulse above zero, or no pressure found",
        .why = "A pressure by cuff needs a pulse.",
        .source = "standard physiology",
        .context = "Silent in known arrest or compressions, and with an assist device.",
    };
    using needs = sign_list<sign::pulse, sign::systolic>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::pulse>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(r.value<sign::pulse>().value() == real{0},
                   r.value<sign::systolic>() > real{0} * mmHg, !heart_known_stopped(c),
                   !c.is(fact::assist_device));
    }
};

struct saturation_without_pulse {
    static constexpr check_info info{
        .code = "contradiction.saturation_without_pulse",
        .title = "No pulse, yet a saturation",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::saturation,
        .question =
            "Oxygen saturation {saturation} is charted with pulse {pulse}. Was there a "
            "pulse when the saturation was read?",
        .expected = "a pulse above zero, or no saturation obtained",
        .why = "An oximeter reads the pulse wave; without one it shows artefact or its last value.",
        .source = "standard physiology",
        .context = "Silent in known arrest or compressions, and with an assist device.",
    };
    using needs = sign_list<sign::pulse, sign::saturation>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::pulse>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(r.value<sign::pulse>().value() == real{0},
                   r.value<sign::saturation>() > real{0} * percent, !heart_known_stopped(c),
                   !c.is(fact::assist_device));
    }
};

struct breathing_none_with_co2 {
    static constexpr check_info info{
        .code = "contradiction.breathing_none_with_co2",
        .title = "No breathing, yet exhaled CO2",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::respiratory_rate,
        .question =
            "Respiratory rate {respiratory_rate} is charted with exhaled CO2 "
            "{exhaled_co2}. Was breathing assisted?",
        .expected = "a rate above zero, or assisted breathing stated",
        .why = "CO2 is exhaled by a breath, the patient's or one that was given.",
        .source = "standard physiology; the limit is common practice, no source",
        .context =
            "Silent when ventilated or with a tube in place, and in known arrest or "
            "compressions.",
    };
    using needs = sign_list<sign::respiratory_rate, sign::exhaled_co2>;
    using sees = sign_list<>;
    using limits = zero_respiratory_rate::limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::respiratory_rate>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        return all(r.value<sign::respiratory_rate>().value() == real{0},
                   r.value<sign::exhaled_co2>() > l.co2_above, !heart_known_stopped(c),
                   !c.is(fact::ventilated), !c.is(fact::airway_tube));
    }
};

/// Alert, or 15 points, and nothing in the set that says otherwise.
constexpr bool charted_as_alert(const readings& r) {
    const auto total = r.value<sign::coma_total>();
    const bool fifteen = total == real{15} * points;
    const bool alert = r.is_at<sign::responsiveness>(responsiveness_level::alert);
    const bool less =
        any(total<real{15} * points, r.value<sign::responsiveness>().value()> static_cast<real>(
            responsiveness_level::alert));
    return all(any(fifteen, alert), !less);
}

struct alert_without_pulse {
    static constexpr check_info info{
        .code = "contradiction.alert_without_pulse",
        .title = "Alert, yet no pulse",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::pulse,
        .question =
            "Pulse {pulse} is charted for a patient charted as alert. Was the pulse not "
            "obtained?",
        .expected = "a pulse above zero, or a lower level of consciousness",
        .why = "Nobody is alert without a circulation.",
        .source = "standard physiology",
        .context = "Silent with an assist device.",
    };
    using needs = sign_list<sign::pulse>;
    using sees = sign_list<sign::responsiveness, sign::coma_total>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::pulse>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(r.value<sign::pulse>().value() == real{0}, charted_as_alert(r),
                   !c.is(fact::assist_device));
    }
};

struct alert_with_pressure {
    static constexpr check_info info{
        .code = "contradiction.alert_with_pressure",
        .title = "Alert, yet almost no pressure",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "Systolic {systolic} is charted for a patient charted as alert. Please check "
            "both; if they stand, say so.",
        .expected = "systolic of at least {under}, or a lower level of consciousness",
        .why = "At such a pressure the brain is hardly supplied; if true, it is an emergency.",
        .source = "common practice, no source",
        .context = "Silent with an assist device.",
    };
    using needs = sign_list<sign::systolic>;
    using sees = sign_list<sign::responsiveness, sign::coma_total>;
    struct limits {
        quantity<units::mmhg, real> under = real{50} * mmHg;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::mmhg>{"under", &limits::under,
                                                             "common practice, no source"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.value<sign::systolic>() < l.under;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto systolic = r.value<sign::systolic>();
        return all(systolic < l.under, systolic >= real{0} * mmHg, charted_as_alert(r),
                   !c.is(fact::assist_device));
    }
};

struct alert_with_breathing {
    static constexpr check_info info{
        .code = "contradiction.alert_with_breathing",
        .title = "Alert, yet hardly breathing",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::respiratory_rate,
        .question =
            "Respiratory rate {respiratory_rate} is charted for a patient charted as "
            "alert. Please check both; if they stand, say so.",
        .expected = "a rate of at least {under}, or a lower level of consciousness",
        .why = "Someone awake breathes; if true, it is an emergency.",
        .source = "common practice, no source",
        .context = "Silent when ventilated.",
    };
    using needs = sign_list<sign::respiratory_rate>;
    using sees = sign_list<sign::responsiveness, sign::coma_total>;
    struct limits {
        quantity<units::per_minute, real> under = real{5} * per_minute;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::per_minute>{"under", &limits::under,
                                                                   "common practice, no source"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.value<sign::respiratory_rate>() < l.under;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto rate = r.value<sign::respiratory_rate>();
        return all(rate < l.under, rate >= real{0} * per_minute, charted_as_alert(r),
                   !c.is(fact::ventilated));
    }
};

struct alert_with_saturation {
    static constexpr check_info info{
        .code = "contradiction.alert_with_saturation",
        .title = "Alert, yet saturation under 50",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::saturation,
        .question =
            "Oxygen saturation {saturation} is charted for a patient charted as alert. "
            "Please check both; if they stand, say so.",
        .expected = "at least {under}, or a lower level of consciousness",
        .why = "Rarely true in the awake; oximeters are not tested under 70 %.",
        .source = "common practice, no source",
        .context = "Silent with an assist device, where saturation is unreliable.",
    };
    using needs = sign_list<sign::saturation>;
    using sees = sign_list<sign::responsiveness, sign::coma_total>;
    struct limits {
        quantity<units::percent, real> under = real{50} * percent;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::percent>{"under", &limits::under,
                                                                "common practice, no source"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.value<sign::saturation>() < l.under;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto saturation = r.value<sign::saturation>();
        return all(saturation > real{0} * percent, saturation < l.under, charted_as_alert(r),
                   !c.is(fact::assist_device));
    }
};

struct alert_with_glucose {
    static constexpr check_info info{
        .code = "contradiction.alert_with_glucose",
        .title = "Alert, yet glucose under 20 mg/dL",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::glucose,
        .question =
            "Blood glucose {glucose} is charted for a patient charted as alert. Please "
            "check the number and its unit; if they stand, say so.",
        .expected = "at least {under}, or a lower level of consciousness",
        .why = "At 30 to 40 mg/dL most are unresponsive, yet everyone differs.",
        .source = "common practice, no source",
        .context = "",
    };
    using needs = sign_list<sign::glucose>;
    using sees = sign_list<sign::responsiveness, sign::coma_total>;
    struct limits {
        quantity<units::mg_per_dl, real> under = real{20} * mg_per_dL;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::mg_per_dl>{"under", &limits::under,
                                                                  "common practice, no source"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.value<sign::glucose>() < l.under;
    }

    static constexpr bool fires(const readings& r, const context&, const limits& l) {
        const auto glucose = r.value<sign::glucose>();
        return all(glucose > real{0} * mg_per_dL, glucose < l.under, charted_as_alert(r));
    }
};

using contradiction_family =
    check_list<pulse_none_with_pressure, saturation_without_pulse, breathing_none_with_co2,
               alert_without_pulse, alert_with_pressure, alert_with_breathing,
               alert_with_saturation, alert_with_glucose>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
