// Zeros: those that no device measures, and those that are true only when the heart has stopped.
// Used by the catalogue. Promises that a zero pulse, breathing rate or pressure is never rejected:
// in a known arrest it raises no question, without context it is a question.
#pragma once

#include <vitalproof/check.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

/// A zero that means "not obtained" and was charted as a number.
template <VitalSign S>
struct zero_not_measured {
    static constexpr auto code = code_for<S, 6>("zero.");
    static constexpr check_info info{
        .code = code,
        .title = "Zero charted for {label}",
        .asks = asks::reject,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = S::info.id,
        .question =
            "The {label} is charted as {charted}. Was it not obtained? If so, please chart "
            "it as not obtained, with the reason.",
        .expected = "a measured value, or the reason why there is none",
        .why =
            "A zero here is not a measurement in any patient; it stands for a blank or a lost "
            "signal.",
        .source = "common practice, no source",
        .context = "",
    };
    using needs = sign_list<S>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<S>(v);
    }

    static constexpr bool fires(const readings& r, const context&, const limits&) {
        return r.value<S>().value() == real{0};
    }
};

constexpr bool heart_known_stopped(const context& c) {
    return any(c.is(fact::arrest), c.is(fact::compressions));
}

struct zero_no_signs_of_life {
    static constexpr check_info info{
        .code = "zero.no_signs_of_life",
        .title = "No pulse and no breathing, arrest not stated",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::pulse,
        .question =
            "Pulse {pulse} and respiratory rate {respiratory_rate} are charted, and the "
            "report does not state an arrest at this time. Was the patient in arrest?",
        .expected = "an arrest stated for this time, or values above zero",
        .why =
            "True in arrest or death; then the report should say so. One question for the set, "
            "not one for each zero.",
        .source = "common practice, no source",
        .context =
            "Silent in known arrest or compressions, and with an assist device when "
            "ventilated.",
    };
    using needs = sign_list<sign::pulse, sign::respiratory_rate>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::pulse>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(r.value<sign::pulse>().value() == real{0},
                   r.value<sign::respiratory_rate>().value() == real{0}, !heart_known_stopped(c),
                   !all(c.is(fact::assist_device), c.is(fact::ventilated)));
    }
};

struct zero_pulse {
    static constexpr check_info info{
        .code = "zero.pulse",
        .title = "No pulse, arrest not stated",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::pulse,
        .question =
            "Pulse {pulse} is charted, and the report does not state an arrest at this "
            "time. Was no pulse felt, or was it not obtained?",
        .expected = "an arrest stated for this time, or a pulse above zero",
        .why = "True in arrest; else a lost signal or a blank. Other readings of the set decide.",
        .source = "common practice, no source",
        .context = "Silent in known arrest or compressions, and with an assist device.",
    };
    using needs = sign_list<sign::pulse>;
    using sees = sign_list<sign::respiratory_rate, sign::systolic, sign::ecg_rate>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::pulse>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        // Breathing also zero, a pressure, or an ECG rate: checks of their own ask about those.
        const bool asked_elsewhere =
            any(r.value<sign::respiratory_rate>().value() == real{0},
                r.value<sign::systolic>().value() > real{0},
                all(r.value<sign::ecg_rate>().value() > real{0}, !c.is(fact::pulse_by_oximeter)));
        return all(r.value<sign::pulse>().value() == real{0}, !asked_elsewhere,
                   !heart_known_stopped(c), !c.is(fact::assist_device));
    }
};

struct zero_ecg_rate {
    static constexpr check_info info{
        .code = "zero.ecg_rate",
        .title = "ECG rate zero, arrest not stated",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::ecg_rate,
        .question =
            "ECG rate {ecg_rate} is charted, and the report does not state an arrest at "
            "this time. Was it asystole, or were the leads off?",
        .expected = "an arrest stated for this time, or a rate above zero",
        .why = "True in asystole; more often a lead came off.",
        .source = "common practice, no source",
        .context = "Silent in known arrest or compressions.",
    };
    using needs = sign_list<sign::ecg_rate>;
    using sees = sign_list<sign::pulse>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::ecg_rate>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(r.value<sign::ecg_rate>().value() == real{0},
                   !(r.value<sign::pulse>().value() == real{0}), !heart_known_stopped(c));
    }
};

struct zero_respiratory_rate {
    static constexpr check_info info{
        .code = "zero.respiratory_rate",
        .title = "Breathing zero, neither arrest nor assistance stated",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::respiratory_rate,
        .question =
            "Respiratory rate {respiratory_rate} is charted, and the report states neither "
            "an arrest nor assisted breathing at this time. Was the patient not breathing?",
        .expected = "an arrest or assisted breathing stated, or a rate above zero",
        .why = "True when breathing has stopped, and then what was done belongs in the report.",
        .source = "common practice, no source",
        .context = "Silent in known arrest or compressions, and when ventilated.",
    };
    using needs = sign_list<sign::respiratory_rate>;
    using sees = sign_list<sign::pulse, sign::exhaled_co2>;
    struct limits {
        // As in contradiction.breathing_none_with_co2, which asks about those sets.
        quantity<units::mmhg, real> co2_above = real{10} * mmHg;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::mmhg>{"co2_above", &limits::co2_above,
                                                             "common practice, no source"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::respiratory_rate>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        return all(r.value<sign::respiratory_rate>().value() == real{0},
                   !(r.value<sign::pulse>().value() == real{0}),
                   !(r.value<sign::exhaled_co2>() > l.co2_above), !heart_known_stopped(c),
                   !c.is(fact::ventilated));
    }
};

struct zero_pressure {
    static constexpr check_info info{
        .code = "zero.pressure",
        .title = "No pressure found, arrest not stated",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "Systolic {systolic} is charted, and the report does not state an arrest at "
            "this time. Was no pressure found, or was it not obtained?",
        .expected = "an arrest stated for this time, or a pressure above zero",
        .why =
            "0/0 is how \"no pressure found\" is written; with a pulse or without context it "
            "is asked about.",
        .source = "common practice, no source",
        .context = "Silent in known arrest or compressions, and with an assist device.",
    };
    using needs = sign_list<sign::systolic>;
    using sees = sign_list<sign::pulse, sign::respiratory_rate>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::systolic>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        const bool no_signs_of_life = all(r.value<sign::pulse>().value() == real{0},
                                          r.value<sign::respiratory_rate>().value() == real{0});
        return all(r.value<sign::systolic>().value() == real{0}, !no_signs_of_life,
                   !heart_known_stopped(c), !c.is(fact::assist_device));
    }
};

struct zero_diastolic {
    static constexpr check_info info{
        .code = "zero.diastolic",
        .title = "Diastolic zero without a systolic",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::diastolic,
        .question =
            "Diastolic {diastolic} is charted without a systolic. Was the pressure not "
            "obtained?",
        .expected = "a pressure with both halves, or the reason why there is none",
        .why = "Alone, a zero diastolic is mostly a blank that became a number.",
        .source = "common practice, no source",
        .context = "Silent in known arrest or compressions, and with an assist device.",
    };
    using needs = sign_list<sign::diastolic>;
    using sees = sign_list<sign::systolic>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::diastolic>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(r.value<sign::diastolic>().value() == real{0},
                   !r.is<sign::systolic>(reading_state::number), !heart_known_stopped(c),
                   !c.is(fact::assist_device));
    }
};

using zero_family =
    check_list<zero_not_measured<sign::saturation>, zero_not_measured<sign::glucose>,
               zero_not_measured<sign::temperature>, zero_not_measured<sign::mean_pressure>,
               zero_no_signs_of_life, zero_pulse, zero_ecg_rate, zero_respiratory_rate,
               zero_pressure, zero_diastolic>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
