// Values that stand and are dangerous because of who the patient is: a newborn, a pregnant woman,
// who breathed smoke, who hurt the head. For the reviewer, as all clinical findings.
// Used by the catalogue; left out with `--without clinical`. Promises to fire only where that is
// known, and to speak of a value, not of care.
#pragma once

#include <vitalproof/checks/clinical.hpp>
#include <vitalproof/checks/of_report.hpp>
#include <vitalproof/first_minutes.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

struct clinical_newborn_temperature {
    static constexpr auto info =
        clinical_info("clinical.newborn_temperature", "A newborn cold or hot", sign_id::temperature,
                      priority::high, "from {low} to {high}", "Newborns lose heat fast.",
                      "neonatal targets, from memory", "Only under 28 days of age.");
    using needs = sign_list<sign::temperature>;
    using sees = sign_list<>;
    struct limits {
        quantity<units::celsius, real> low = real{36.5} * degC;
        quantity<units::celsius, real> high = real{37.5} * degC;
        static constexpr auto fields() {
            constexpr std::string_view source = "neonatal targets, from memory";
            return std::tuple{own_limit<limits, units::celsius>{"low", &limits::low, source},
                              own_limit<limits, units::celsius>{"high", &limits::high, source}};
        }
    };

    static constexpr bool screen(const readings&, const context& c, const limits&) {
        return c.is(fact::newborn);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto temperature = r.value<sign::temperature>();
        return all(c.is(fact::newborn), any(temperature<l.low, temperature> l.high),
                   c.is_possible<sign::temperature>(temperature));
    }
};

struct clinical_newborn_pulse {
    static constexpr auto info = clinical_info(
        "clinical.newborn_pulse", "A newborn's pulse under 100", sign_id::pulse, priority::first,
        "from {under}", "Under 60 the mark of compressions, under 100 that of breaths.",
        "neonatal targets, from memory",
        "Only under 28 days of age; a pulse of zero is left to the checks of zero.");
    using needs = sign_list<sign::pulse>;
    using sees = sign_list<>;
    struct limits {
        quantity<units::per_minute, real> under = real{100} * per_minute;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::per_minute>{
                "under", &limits::under, "neonatal targets, from memory"}};
        }
    };

    static constexpr bool screen(const readings&, const context& c, const limits&) {
        return c.is(fact::newborn);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto pulse = r.value<sign::pulse>();
        return all(c.is(fact::newborn), pulse<l.under, pulse> real{0} * per_minute);
    }
};

/// A check of a report: the minute of life follows from the charted age and the times of the call.
struct clinical_newborn_saturation {
    static constexpr check_info info{
        .code = "clinical.newborn_saturation",
        .title = "A saturation low for the minute of life",
        .asks = asks::notice,
        .priority = priority::high,
        .kind = kind::clinical,
        .sign = sign_id::saturation,
        .question =
            "The saturation is charted as {charted}, {age} after birth. Was it taken again, and "
            "what followed?",
        .expected =
            "from {minute_1} in the first minute of life, {minute_2}, {minute_3}, {minute_4} and "
            "{minute_5} in those after it, {minute_10} in the tenth, then from {later}",
        .why = "Saturation rises from 60 to 90 in the first ten minutes of life.",
        .source = "neonatal resuscitation targets, from memory",
        .context =
            "Only where an age is charted of the first ten minutes of life; the minutes are "
            "counted "
            "on from it.",
    };
    using saturation_value = quantity<units::percent, real>;
    struct limits {
        saturation_value minute_1 = real{60} * percent;
        saturation_value minute_2 = real{65} * percent;
        saturation_value minute_3 = real{70} * percent;
        saturation_value minute_4 = real{75} * percent;
        saturation_value minute_5 = real{80} * percent;
        saturation_value minute_10 = real{85} * percent;
        saturation_value later = real{90} * percent;
        static constexpr auto fields() {
            constexpr auto field = [](std::string_view name, saturation_value limits::*at) {
                return own_limit<limits, units::percent>{name, at, info.source};
            };
            return std::tuple{
                field("minute_1", &limits::minute_1), field("minute_2", &limits::minute_2),
                field("minute_3", &limits::minute_3), field("minute_4", &limits::minute_4),
                field("minute_5", &limits::minute_5), field("minute_10", &limits::minute_10),
                field("later", &limits::later)};
        }
    };

    static constexpr saturation_value bound_at(minutes_of_age age, const limits& l) {
        const double m = age.count();
        return m < 2    ? l.minute_1
               : m < 3  ? l.minute_2
               : m < 4  ? l.minute_3
               : m < 5  ? l.minute_4
               : m < 10 ? l.minute_5
               : m < 11 ? l.minute_10
                        : l.later;
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        const auto& saturation = r.sets[set].saturation;
        const auto age = age_of_just_born(r, r.sets[set]);
        return age && saturation.is_number() && saturation.raw() > 0 &&
               saturation.raw() < static_cast<double>(bound_at(*age, l).value());
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        detail::add_readings(e, r.sets[set], sign_list<sign::saturation>::mask);
        const auto age = age_of_just_born(r, r.sets[set]);
        e.add("age", minutes_value::from_value(static_cast<real>(age->count())));
    }
};

struct clinical_pregnancy_pressure {
    static constexpr auto info = clinical_info(
        "clinical.pregnancy_pressure", "Pregnant, and a very high pressure", sign_id::systolic,
        priority::first, "systolic under {from_systolic}, diastolic under {from_diastolic}",
        "Severe high pressure in pregnancy may be followed by fits.", "common practice, no source",
        "Only where a pregnancy is known.",
        "Pressure {systolic} over {diastolic} in a pregnancy: was it taken again, and what "
        "followed?");
    using needs = sign_list<>;
    using sees = sign_list<sign::systolic, sign::diastolic>;
    struct limits {
        pressure_value from_systolic = real{160} * mmHg;
        pressure_value from_diastolic = real{110} * mmHg;
        static constexpr auto fields() {
            constexpr std::string_view source = "common practice, no source";
            return std::tuple{
                own_limit<limits, units::mmhg>{"from_systolic", &limits::from_systolic, source},
                own_limit<limits, units::mmhg>{"from_diastolic", &limits::from_diastolic, source}};
        }
    };

    static constexpr bool screen(const readings&, const context& c, const limits&) {
        return c.is(fact::pregnant);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto systolic = r.value<sign::systolic>();
        const auto diastolic = r.value<sign::diastolic>();
        return all(
            c.is(fact::pregnant),
            any(all(systolic >= l.from_systolic, c.is_possible<sign::systolic>(systolic)),
                all(diastolic >= l.from_diastolic, c.is_possible<sign::diastolic>(diastolic))));
    }
};

struct clinical_saturation_after_smoke {
    static constexpr auto info = clinical_info(
        "clinical.saturation_after_smoke", "Saturation after smoke or carbon monoxide",
        sign_id::saturation, priority::high, "a carbon monoxide reading beside it",
        "An oximeter takes carbon monoxide for oxygen, so a usual value proves nothing.",
        "common practice, no source", "Only where smoke or carbon monoxide is known.",
        "Saturation {saturation} was read after smoke or carbon monoxide. Was carbon monoxide "
        "measured as well, as the local protocol has it?");
    using needs = sign_list<sign::saturation>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool screen(const readings&, const context& c, const limits&) {
        return c.is(fact::carbon_monoxide);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(c.is(fact::carbon_monoxide), r.value<sign::saturation>() > real{0} * percent);
    }
};

/// A check of a report among those of sets: it looks at why the call was made.
struct clinical_head_injury {
    static constexpr check_info info{
        .code = "clinical.head_injury",
        .title = "A head injury, and a value its brain suffers from",
        .asks = asks::notice,
        .priority = priority::high,
        .kind = kind::clinical,
        .sign = sign_id::systolic,
        .question =
            "The call was for a head injury, and this set holds {readings}. Was it taken again, "
            "and what followed?",
        .expected =
            "systolic from {systolic_under}, saturation from {saturation_under}, exhaled CO2 from "
            "{co2_under}",
        .why = "Too little pressure, oxygen or CO2 hurts a brain that is hurt.",
        .source = "common practice, no source",
        .context =
            "Only where the call was for a head injury; of a child the systolic is left to the "
            "limits of its age; silent in known arrest.",
        .about = "readings",
    };
    struct limits {
        pressure_value systolic_under = real{110} * mmHg;
        quantity<units::percent, real> saturation_under = real{90} * percent;
        pressure_value co2_under = real{35} * mmHg;
        static constexpr auto fields() {
            constexpr std::string_view source = "common practice, no source";
            return std::tuple{
                own_limit<limits, units::mmhg>{"systolic_under", &limits::systolic_under, source},
                own_limit<limits, units::percent>{"saturation_under", &limits::saturation_under,
                                                  source},
                own_limit<limits, units::mmhg>{"co2_under", &limits::co2_under, source}};
        }
    };

    static constexpr std::uint32_t low(const care_report& r, std::size_t set, const limits& l) {
        const vital_set& s = r.sets[set];
        const auto under = [](const auto& reading, const auto& limit) {
            return reading.raw() > 0 && reading.raw() < static_cast<double>(limit.value());
        };
        return detail::bit_if<sign::systolic>(
                   s, !detail::is_child(r) && under(s.systolic, l.systolic_under)) |
               detail::bit_if<sign::saturation>(s, under(s.saturation, l.saturation_under)) |
               detail::bit_if<sign::exhaled_co2>(s, under(s.exhaled_co2, l.co2_under));
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        return r.call && r.call->is_about(complaint::head_injury) &&
               !detail::known_of(r, set).is(fact::arrest) && low(r, set, l) != 0;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits& l, Evidence& e) {
        detail::add_readings(e, r.sets[set], low(r, set, l));
    }
};

using clinical_patient_family =
    check_list<clinical_newborn_temperature, clinical_newborn_pulse, clinical_newborn_saturation,
               clinical_pregnancy_pressure, clinical_saturation_after_smoke, clinical_head_injury>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
