// Values that make sense in another unit of the same sign.
// Used by the catalogue. Promises a hypothesis for the reviewer and an open question for the crew,
// never an edit; and none where the value as charted may be a true and dangerous one: a low
// glucose in an altered patient, a low CO2 in arrest or with a tube, a pressure in arrest.
#pragma once

#include <vitalproof/checks/contradiction.hpp>
#include <vitalproof/checks/impossible.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

/// From `low` to `high`, both included: a stretch in which another unit is the likelier reading.
template <class Unit>
struct span_limits {
    quantity<Unit, real> low;
    quantity<Unit, real> high;
    static constexpr auto fields() {
        constexpr std::string_view source = "common practice, no source";
        return std::tuple{own_limit<span_limits, Unit>{"low", &span_limits::low, source},
                          own_limit<span_limits, Unit>{"high", &span_limits::high, source}};
    }
    /// Bounds a check must leave to reach the stretch from above, or from below.
    constexpr bool reached_from_above(quantity<Unit, real> value) const { return value <= high; }
    constexpr bool reached_from_below(quantity<Unit, real> value) const { return value >= low; }
    constexpr bool holds(quantity<Unit, real> value) const {
        return all(value >= low, value <= high);
    }
};

/// Anything that says the patient is not fully awake.
constexpr bool charted_as_altered(const readings& r) {
    return any(
        r.value<sign::responsiveness>().value() > static_cast<real>(responsiveness_level::alert),
        r.value<sign::coma_total>() < real{15} * points);
}

struct unit_glucose {
    static constexpr check_info info{
        .code = "unit.glucose",
        .title = "Glucose as if in mmol/L",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::glucose,
        .question =
            "Blood glucose is charted as {glucose}. Which number and which unit did the "
            "meter show?",
        .expected = "if mmol/L was meant: {as_mg_per_dl}",
        .why = "The number is usual in mmol/L and grave in mg/dL.",
        .source = "common practice, no source; 180.156 g/mol (UCUM)",
        .context =
            "Not offered where the patient is charted as less than alert, which fits the "
            "low as charted.",
    };
    using needs = sign_list<sign::glucose>;
    using sees = sign_list<sign::responsiveness, sign::coma_total>;
    struct limits : span_limits<units::mg_per_dl> {
        constexpr limits()
            : span_limits<units::mg_per_dl>{real{2} * mg_per_dL, real{33} * mg_per_dL} {}
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return l.reached_from_above(v.value<sign::glucose>());
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto glucose = r.value<sign::glucose>();
        // A whole number within the meter's span may be a true low in someone still awake.
        const bool telling =
            any(has_fraction(glucose.value()),
                all(charted_as_alert(r), !c.is_believable<sign::glucose>(glucose)));
        return all(l.holds(glucose), telling, !charted_as_altered(r));
    }

    template <class Evidence>
    static void explain(const readings& r, Evidence& evidence) {
        const auto amount = quantity<units::mmol_per_l>::from_value(
            static_cast<double>(r.value<sign::glucose>().value()));
        evidence.add("as_mg_per_dl", to_mg_per_dl(amount));
    }
};

struct unit_temperature_fahrenheit {
    static constexpr check_info info{
        .code = "unit.temperature_fahrenheit",
        .title = "Temperature as if in °F",
        .asks = asks::reject,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::temperature,
        .question =
            "The temperature is charted as {temperature}. Which number and which unit did "
            "the thermometer show?",
        .expected = "if °F was meant: {as_celsius}",
        .why = "The commonest slip of this sign: °F logged as °C.",
        .source = "Genes 2013 (commonest vital-sign fault); the span is common practice, no source",
        .context = "",
    };
    using needs = sign_list<sign::temperature>;
    using sees = sign_list<>;
    struct limits : span_limits<units::celsius> {
        constexpr limits() : span_limits<units::celsius>{real{80} * degC, real{110} * degC} {}
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return l.reached_from_below(v.value<sign::temperature>());
    }

    static constexpr bool fires(const readings& r, const context&, const limits& l) {
        return l.holds(r.value<sign::temperature>());
    }

    template <class Evidence>
    static void explain(const readings& r, Evidence& evidence) {
        const double number = static_cast<double>(r.value<sign::temperature>().value());
        evidence.add("as_celsius", to<units::celsius>(number * degF));
    }
};

struct unit_temperature_converted_twice {
    static constexpr check_info info{
        .code = "unit.temperature_converted_twice",
        .title = "Temperature as if converted twice",
        .asks = asks::reject,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::temperature,
        .question =
            "The temperature is charted as {temperature}. Which number and which unit did "
            "the thermometer show?",
        .expected = "if °C was typed into a °F field: {as_celsius}",
        .why = "°C typed into a °F field and then converted gives -3.5 to 6.5 °C.",
        .source = "common practice, no source",
        .context = "",
    };
    using needs = sign_list<sign::temperature>;
    using sees = sign_list<>;
    struct limits : span_limits<units::celsius> {
        constexpr limits() : span_limits<units::celsius>{real{-3.5F} * degC, real{6.5F} * degC} {}
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return l.reached_from_above(v.value<sign::temperature>());
    }

    static constexpr bool fires(const readings& r, const context&, const limits& l) {
        const auto temperature = r.value<sign::temperature>();
        return all(l.holds(temperature), temperature != real{0} * degC);
    }

    template <class Evidence>
    static void explain(const readings& r, Evidence& evidence) {
        // The number before the needless conversion, which was °C all along.
        const double number = static_cast<double>(r.value<sign::temperature>().value());
        const auto typed = to<units::fahrenheit>(number * degC);
        evidence.add("as_celsius", typed.value() * degC);
    }
};

struct unit_temperature_blank_fahrenheit {
    static constexpr check_info info{
        .code = "unit.temperature_blank_fahrenheit",
        .title = "Temperature as if a blank in °F",
        .asks = asks::reject,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::temperature,
        .question = "The temperature is charted as {temperature}. Was it not obtained?",
        .expected = "a measured temperature, or the reason why there is none",
        .why = "0 °F is -17.8 °C: a blank that went through a conversion.",
        .source = "common practice, no source",
        .context = "",
    };
    using needs = sign_list<sign::temperature>;
    using sees = sign_list<>;
    struct limits : span_limits<units::celsius> {
        constexpr limits()
            : span_limits<units::celsius>{real{-17.85F} * degC, real{-17.7F} * degC} {}
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return l.reached_from_above(v.value<sign::temperature>());
    }

    static constexpr bool fires(const readings& r, const context&, const limits& l) {
        return l.holds(r.value<sign::temperature>());
    }
};

struct unit_exhaled_co2 {
    static constexpr check_info info{
        .code = "unit.exhaled_co2",
        .title = "Exhaled CO2 as if in kPa",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::exhaled_co2,
        .question =
            "Exhaled CO2 is charted as {exhaled_co2}. Which number and which unit did the "
            "monitor show?",
        .expected = "if kPa was meant: {as_mmhg}",
        .why = "A number with a decimal, usual in kPa and very low in mmHg.",
        .source = "common practice, no source",
        .context =
            "Not offered in known arrest or compressions, nor with a tube in place, where a "
            "low value may be true and is the graver reading.",
    };
    using needs = sign_list<sign::exhaled_co2>;
    using sees = sign_list<sign::pulse, sign::respiratory_rate>;
    struct limits : span_limits<units::mmhg> {
        constexpr limits() : span_limits<units::mmhg>{real{3} * mmHg, real{9} * mmHg} {}
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return l.reached_from_above(v.value<sign::exhaled_co2>());
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto co2 = r.value<sign::exhaled_co2>();
        const bool low_may_be_true = any(heart_known_stopped(c), c.is(fact::airway_tube),
                                         r.value<sign::pulse>() == real{0} * per_minute,
                                         r.value<sign::respiratory_rate>() == real{0} * per_minute);
        return all(l.holds(co2), has_fraction(co2.value()), !low_may_be_true);
    }

    template <class Evidence>
    static void explain(const readings& r, Evidence& evidence) {
        const double number = static_cast<double>(r.value<sign::exhaled_co2>().value());
        evidence.add("as_mmhg", to<units::mmhg>(number * kPa));
    }
};

struct unit_pressure {
    static constexpr check_info info{
        .code = "unit.pressure",
        .title = "Pressure as if in kPa",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "The pressure is charted as {systolic} over {diastolic}. Which numbers and "
            "which unit did the monitor show?",
        .expected = "if kPa was meant: {systolic_as_mmhg} over {diastolic_as_mmhg}",
        .why = "Both halves are usual in kPa and hardly compatible with life in mmHg.",
        .source = "common practice, no source",
        .context =
            "Not offered in known arrest or compressions, nor where the patient is charted "
            "as less than alert, which may fit the pressure as charted.",
    };
    using needs = sign_list<sign::systolic, sign::diastolic>;
    using sees = sign_list<sign::responsiveness, sign::coma_total, sign::pulse>;
    struct limits {
        quantity<units::mmhg, real> systolic_low = real{8} * mmHg;
        quantity<units::mmhg, real> systolic_high = real{30} * mmHg;
        quantity<units::mmhg, real> diastolic_low = real{4} * mmHg;
        quantity<units::mmhg, real> diastolic_high = real{20} * mmHg;
        static constexpr auto fields() {
            constexpr std::string_view source = "common practice, no source";
            return std::tuple{
                own_limit<limits, units::mmhg>{"systolic_low", &limits::systolic_low, source},
                own_limit<limits, units::mmhg>{"systolic_high", &limits::systolic_high, source},
                own_limit<limits, units::mmhg>{"diastolic_low", &limits::diastolic_low, source},
                own_limit<limits, units::mmhg>{"diastolic_high", &limits::diastolic_high, source}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.value<sign::systolic>() <= l.systolic_high;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto systolic = r.value<sign::systolic>();
        const auto diastolic = r.value<sign::diastolic>();
        const bool in_span =
            all(systolic <= l.systolic_high, systolic >= l.systolic_low,
                diastolic >= l.diastolic_low, diastolic <= l.diastolic_high, systolic > diastolic);
        const bool low_may_be_true = any(heart_known_stopped(c), charted_as_altered(r),
                                         r.value<sign::pulse>() == real{0} * per_minute);
        return all(in_span, !low_may_be_true);
    }

    template <class Evidence>
    static void explain(const readings& r, Evidence& evidence) {
        const double systolic = static_cast<double>(r.value<sign::systolic>().value());
        const double diastolic = static_cast<double>(r.value<sign::diastolic>().value());
        evidence.add("systolic_as_mmhg", to<units::mmhg>(systolic * kPa));
        evidence.add("diastolic_as_mmhg", to<units::mmhg>(diastolic * kPa));
    }
};

struct unit_saturation_fraction {
    static constexpr check_info info{
        .code = "unit.saturation_fraction",
        .title = "Saturation as if a fraction",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::saturation,
        .question =
            "Oxygen saturation is charted as {saturation}. Which number did the oximeter "
            "show?",
        .expected = "if a fraction was meant: {as_percent}",
        .why = "0.98 is 98 % written as a fraction; 0.98 % is no reading.",
        .source = "common practice, no source",
        .context = "",
    };
    using needs = sign_list<sign::saturation>;
    using sees = sign_list<>;
    struct limits : span_limits<units::percent> {
        constexpr limits() : span_limits<units::percent>{real{0.5F} * percent, real{1} * percent} {}
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return l.reached_from_above(v.value<sign::saturation>());
    }

    static constexpr bool fires(const readings& r, const context&, const limits& l) {
        return l.holds(r.value<sign::saturation>());
    }

    template <class Evidence>
    static void explain(const readings& r, Evidence& evidence) {
        const double number = static_cast<double>(r.value<sign::saturation>().value());
        evidence.add("as_percent", to<units::percent>(number * fraction));
    }
};

using unit_family = check_list<unit_glucose, unit_temperature_fahrenheit,
                               unit_temperature_converted_twice, unit_temperature_blank_fahrenheit,
                               unit_exhaled_co2, unit_pressure, unit_saturation_fraction>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
