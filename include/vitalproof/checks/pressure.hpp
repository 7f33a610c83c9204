// The pressures of a set against each other: order, pulse pressure, mean, halves.
// Used by the catalogue. Promises that 0/0 ("no pressure found") and a palpated or Doppler
// pressure without a diastolic are never faulted for what they cannot have.
#pragma once

#include <vitalproof/check.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

using pressure_value = quantity<units::mmhg, real>;

constexpr bool no_pressure_found(pressure_value systolic, pressure_value diastolic) {
    return all(systolic == real{0} * mmHg, diastolic == real{0} * mmHg);
}

/// A value that is impossible by itself is asked about by itself, and not against others.
constexpr bool pressures_are_possible(const readings& r, const context& c) {
    return all(c.is_possible<sign::systolic>(r.value<sign::systolic>()),
               c.is_possible<sign::diastolic>(r.value<sign::diastolic>()));
}

struct pressure_order {
    static constexpr check_info info{
        .code = "pressure.order",
        .title = "Systolic not above diastolic",
        .asks = asks::reject,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "Systolic {systolic} is not above diastolic {diastolic}. Please check both "
            "against the monitor record.",
        .expected = "systolic above diastolic",
        .why = "The systolic is the peak of the same wave; the two cannot stand together.",
        .source = "standard physiology",
        .context = "",
    };
    using needs = sign_list<sign::systolic, sign::diastolic>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return v.of<difference::pulse_pressure>() <= real{0} * mmHg;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        const auto systolic = r.value<sign::systolic>();
        const auto diastolic = r.value<sign::diastolic>();
        return all(systolic <= diastolic, !no_pressure_found(systolic, diastolic),
                   pressures_are_possible(r, c));
    }
};

struct pressure_narrow {
    static constexpr check_info info{
        .code = "pressure.narrow",
        .title = "Pulse pressure very narrow",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "Systolic {systolic} and diastolic {diastolic} are less than {under} apart. "
            "Please check them against the monitor record; if they stand, say so.",
        .expected = "at least {under} between systolic and diastolic",
        .why = "Seen in tamponade and late shock, and more often as a slip.",
        .source = "common practice, no source",
        .context = "Silent with an assist device, and in known arrest or compressions.",
    };
    using needs = sign_list<sign::systolic, sign::diastolic>;
    using sees = sign_list<>;
    struct limits {
        pressure_value under = real{10} * mmHg;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::mmhg>{"under", &limits::under,
                                                             "common practice, no source"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.of<difference::pulse_pressure>() < l.under;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto systolic = r.value<sign::systolic>();
        const auto diastolic = r.value<sign::diastolic>();
        // An unbelievable systolic is asked about by itself: both halves are then mostly in kPa.
        return all(difference::pulse_pressure::of(r) < l.under, systolic > diastolic,
                   c.is_believable<sign::systolic>(systolic),
                   !any(c.is(fact::assist_device), c.is(fact::arrest), c.is(fact::compressions)));
    }
};

struct pressure_wide {
    static constexpr check_info info{
        .code = "pressure.wide",
        .title = "Pulse pressure very wide",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "Systolic {systolic} and diastolic {diastolic} are more than {over} apart. "
            "Please check them against the monitor record; if they stand, say so.",
        .expected = "at most {over} between systolic and diastolic",
        .why = "Rare even in stiff arteries; often a digit of one of the two.",
        .source = "common practice, no source",
        .context = "Silent in known arrest or compressions.",
    };
    using needs = sign_list<sign::systolic, sign::diastolic>;
    using sees = sign_list<>;
    struct limits {
        pressure_value over = real{140} * mmHg;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::mmhg>{"over", &limits::over,
                                                             "common practice, no source"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.of<difference::pulse_pressure>() > l.over;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto diastolic = r.value<sign::diastolic>();
        return all(difference::pulse_pressure::of(r) > l.over, diastolic > real{0} * mmHg,
                   pressures_are_possible(r, c), !c.is(fact::arrest), !c.is(fact::compressions));
    }
};

struct pressure_half {
    static constexpr check_info info{
        .code = "pressure.half",
        .title = "Half a pressure",
        .asks = asks::query,
        .priority = priority::low,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "Only half of the pressure is charted (systolic {systolic}, diastolic "
            "{diastolic}). Was it palpated, or is a number missing?",
        .expected = "both halves, or a palpated or Doppler pressure",
        .why = "A palpated pressure has no diastolic and is complete; else a number is missing.",
        .source = "common practice, no source",
        .context = "Silent when the pressure is known as palpated or by Doppler.",
    };
    using needs = sign_list<>;
    using sees = sign_list<sign::systolic, sign::diastolic>;
    using limits = no_limits;

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        // Blank only: refused, unable and "the source has no such column" are answers.
        const bool no_diastolic =
            all(r.is<sign::systolic>(reading_state::number), r.is<sign::diastolic>(absence::blank),
                r.value<sign::systolic>() != real{0} * mmHg);
        const bool no_systolic =
            all(r.is<sign::diastolic>(reading_state::number), r.is<sign::systolic>(absence::blank));
        return all(any(no_diastolic, no_systolic), !any(c.is(fact::palpated), c.is(fact::doppler)));
    }
};

struct pressure_diastolic_zero_by_machine {
    static constexpr check_info info{
        .code = "pressure.diastolic_zero_by_machine",
        .title = "Diastolic zero by machine",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::diastolic,
        .question =
            "Diastolic {diastolic} is charted under systolic {systolic}, by machine. "
            "Please check it against the monitor record.",
        .expected = "a diastolic above zero",
        .why = "Ears may hear sounds down to zero; a machine shows a value or fails.",
        .source = "common practice, no source",
        .context =
            "Asked only where the pressure is known to be by machine or arterial line; "
            "else pressure.diastolic_zero notes it.",
    };
    using needs = sign_list<sign::systolic, sign::diastolic>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::diastolic>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(r.value<sign::diastolic>().value() == real{0},
                   r.value<sign::systolic>() > real{0} * mmHg,
                   any(c.is(fact::cuff_machine), c.is(fact::arterial)));
    }
};

struct pressure_diastolic_zero {
    static constexpr check_info info{
        .code = "pressure.diastolic_zero",
        .title = "Diastolic zero",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::diastolic,
        .question =
            "Diastolic {diastolic} is charted under systolic {systolic}. Were sounds heard "
            "down to zero, or was the pressure palpated?",
        .expected = "a diastolic above zero, or the method stated",
        .why =
            "Sounds heard down to zero are true in some people (1.6 % of NHANES 2009-2012 "
            "readings); a palpated pressure typed as /0 is not.",
        .source = "CDC NHANES 2009-2012, counted",
        .context = "Replaced by pressure.diastolic_zero_by_machine where the method is known.",
    };
    using needs = sign_list<sign::systolic, sign::diastolic>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::diastolic>(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(r.value<sign::diastolic>().value() == real{0},
                   r.value<sign::systolic>() > real{0} * mmHg,
                   !any(c.is(fact::cuff_machine), c.is(fact::arterial)));
    }
};

constexpr bool mean_strays_outside(const extreme_values& v) {
    return any(v.of<difference::mean_above_systolic>() > real{0} * mmHg,
               v.of<difference::mean_below_diastolic>() > real{0} * mmHg);
}

/// Mean below the diastolic or above the systolic; silent where no pressure was found.
constexpr bool mean_is_outside(const readings& r, const context& c) {
    const auto systolic = r.value<sign::systolic>();
    const auto diastolic = r.value<sign::diastolic>();
    const auto mean = r.value<sign::mean_pressure>();
    return all(any(mean<diastolic, mean> systolic), systolic > diastolic,
               pressures_are_possible(r, c), c.is_possible<sign::mean_pressure>(mean));
}

struct pressure_mean_outside {
    static constexpr check_info info{
        .code = "pressure.mean_outside",
        .title = "Mean outside its own pressure",
        .asks = asks::reject,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::mean_pressure,
        .question =
            "Mean pressure {mean_pressure} is not between diastolic {diastolic} and "
            "systolic {systolic}, all by the same method. Please check the three against "
            "the monitor record.",
        .expected = "between diastolic and systolic",
        .why = "A mean lies between the two it is the mean of.",
        .source = "standard physiology",
        .context =
            "Rejects only where all three are known to be by one method; else "
            "pressure.mean_outside_mixed asks.",
    };
    using needs = sign_list<sign::systolic, sign::diastolic, sign::mean_pressure>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return all(v.is_somewhere(fact::one_pressure_method), mean_strays_outside(v));
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(mean_is_outside(r, c), c.is(fact::one_pressure_method));
    }
};

struct pressure_mean_outside_mixed {
    static constexpr check_info info{
        .code = "pressure.mean_outside_mixed",
        .title = "Mean outside the pressure beside it",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::mean_pressure,
        .question =
            "Mean pressure {mean_pressure} is not between diastolic {diastolic} and "
            "systolic {systolic}. Were the three from one measurement?",
        .expected = "between diastolic and systolic",
        .why = "A cuff beside an arterial line may differ; one measurement cannot.",
        .source = "standard physiology",
        .context = "Replaced by pressure.mean_outside where one method is known for all three.",
    };
    using needs = sign_list<sign::systolic, sign::diastolic, sign::mean_pressure>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return mean_strays_outside(v);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(mean_is_outside(r, c), !c.is(fact::one_pressure_method));
    }
};

/// How far a mean may lie from the formula before it is worth a word.
struct mean_formula_limits {
    pressure_value at_least = real{10} * mmHg;
    quantity<units::percent, real> share = real{15} * percent;
    static constexpr auto fields() {
        return std::tuple{
            own_limit<mean_formula_limits, units::mmhg>{
                "at_least", &mean_formula_limits::at_least,
                "common practice, no source; 1.2 % of 96,714 cuff readings in PhysioNet/CinC "
                "Challenge 2012 lie farther"},
            own_limit<mean_formula_limits, units::percent>{"share", &mean_formula_limits::share,
                                                           "common practice, no source"}};
    }
};

constexpr bool mean_strays_off_formula(const extreme_values& v, const mean_formula_limits& l) {
    return is_farther_than(v.of<difference::mean_off_formula>(), l.at_least);
}

constexpr bool mean_is_far_from_formula(const readings& r, const context& c,
                                        const mean_formula_limits& l) {
    const auto systolic = r.value<sign::systolic>();
    const auto diastolic = r.value<sign::diastolic>();
    const auto mean = r.value<sign::mean_pressure>();
    const auto off = difference::mean_off_formula::of(r);
    const auto share = difference::mean_off_formula::formula(r) * (l.share.value() / real{100});
    // A mean of zero under a diastolic of zero is left to zero.mean_pressure.
    const bool inside =
        all(mean >= diastolic, mean <= systolic, systolic > diastolic, mean != real{0} * mmHg);
    // A palpated, Doppler or arterial pressure does not follow the cuff's formula.
    const bool other_method = any(c.is(fact::palpated), c.is(fact::doppler), c.is(fact::arterial));
    return all(inside, is_farther_than(off, l.at_least), is_farther_than(off, share),
               !other_method);
}

struct pressure_mean_formula {
    static constexpr check_info info{
        .code = "pressure.mean_formula",
        .title = "Charted mean far from its formula",
        .asks = asks::query,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::mean_pressure,
        .question =
            "Mean pressure {mean_pressure} is charted beside {systolic} over {diastolic}, "
            "which would give about {formula}. Please check the three against the monitor "
            "record.",
        .expected = "about {formula}",
        .why = "Typed by hand, a mean this far off has a slip in one of the three.",
        .source = "mean = D + (S - D) / 3, standard physiology",
        .context = "Asked of charted values; pressure.mean_formula_captured notes captured ones.",
    };
    using needs = sign_list<sign::systolic, sign::diastolic, sign::mean_pressure>;
    using sees = sign_list<>;
    using limits = mean_formula_limits;

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return all(v.is_not_somewhere(fact::captured), mean_strays_off_formula(v, l));
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        return all(mean_is_far_from_formula(r, c, l), c.is_not(fact::captured));
    }

    template <class Evidence>
    static void explain(const readings& r, Evidence& evidence) {
        evidence.add("formula", difference::mean_off_formula::formula(r));
    }
};

struct pressure_mean_formula_captured {
    static constexpr check_info info{
        .code = "pressure.mean_formula_captured",
        .title = "Mean far from its formula",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::mean_pressure,
        .question =
            "Mean pressure {mean_pressure} is charted beside {systolic} over {diastolic}, "
            "which would give about {formula}. Do the three belong together?",
        .expected = "about {formula}",
        .why = "A machine measures the mean and derives the rest, so some lie off the formula.",
        .source = "mean = D + (S - D) / 3, standard physiology",
        .context = "Applies unless the values are known to be charted by hand.",
    };
    using needs = sign_list<sign::systolic, sign::diastolic, sign::mean_pressure>;
    using sees = sign_list<>;
    using limits = mean_formula_limits;

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return mean_strays_off_formula(v, l);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        return all(mean_is_far_from_formula(r, c, l), !c.is_not(fact::captured));
    }

    template <class Evidence>
    static void explain(const readings& r, Evidence& evidence) {
        pressure_mean_formula::explain(r, evidence);
    }
};

struct pressure_mean_palpated {
    static constexpr check_info info{
        .code = "pressure.mean_palpated",
        .title = "Mean beside a palpated pressure",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::mean_pressure,
        .question =
            "Mean pressure {mean_pressure} is charted beside a systolic of {systolic} that was "
            "palpated. How was the mean obtained?",
        .expected = "no mean, or the method that gave it",
        .why =
            "A finger on the pulse finds a systolic alone, and without a diastolic no mean can be "
            "worked out: it is from another measurement, or the method is not the one charted.",
        .source = "standard physiology",
        .context = "Only where the pressure is known as palpated.",
    };
    using needs = sign_list<sign::systolic, sign::mean_pressure>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return v.is_somewhere(fact::palpated);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        return all(r.value<sign::mean_pressure>() >= real{0} * mmHg, c.is(fact::palpated));
    }
};

using pressure_family =
    check_list<pressure_order, pressure_narrow, pressure_wide, pressure_half,
               pressure_diastolic_zero_by_machine, pressure_diastolic_zero, pressure_mean_outside,
               pressure_mean_outside_mixed, pressure_mean_formula, pressure_mean_formula_captured,
               pressure_mean_palpated>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
