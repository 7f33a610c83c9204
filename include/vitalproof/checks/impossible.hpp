// Readings outside what can be measured, one check for every sign.
// Used by the catalogue. Promises to stay silent on zeros that arrest makes true, and on the zeros
// that the family `zero` asks about.
#pragma once

#include <vitalproof/check.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

/// Whether a value has a fraction; false for NaN and infinities. By rounding through 2^23, which
/// unlike a conversion to an integer is defined for every value; right below 2^22.
constexpr bool has_fraction(real value) {
    constexpr real shift = 0x1p23F;
    const real whole = (value + shift) - shift;
    return any(whole<value, whole> value);
}

/// 0/0/0 for eye, verbal and motor: how some systems write "total only".
constexpr bool coma_parts_not_given(const readings& r) {
    return all(r.value<sign::coma_eye>() == real{0} * points,
               r.value<sign::coma_verbal>() == real{0} * points,
               r.value<sign::coma_motor>() == real{0} * points);
}

template <VitalSign S>
struct impossible {
    static constexpr bool is_score = S::info.unit == "points";
    static constexpr bool is_level = S::info.id == sign_id::responsiveness;
    static constexpr auto code = code_for<S, 12>("impossible.");
    static constexpr check_info info{
        .code = code,
        .title = "Impossible {label}",
        .asks = asks::reject,
        .priority = priority::high,
        .kind = kind::plausibility,
        .sign = S::info.id,
        .question =
            is_level   ? "The {label} is charted as {charted}, which is none of its four levels. "
                         "Which was it?"
            : is_score ? "The {label} is charted as {charted}; the scale gives whole points, "
                         "{range}. What was the score?"
                       : "The {label} is charted as {charted}, outside what can be measured "
                         "({range}). What was the reading?",
        .expected = is_level   ? "alert, verbal, painful or unresponsive"
                    : is_score ? "whole points, {range}"
                               : "{range}",
        .why =
            "No measurement of this sign gives such a value; a slip of the hand, a unit or a "
            "shifted field usually does.",
        .source = "table `possible`: see the limits in force",
        .context = "",
    };
    using needs = sign_list<S>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) requires(!is_score) {
        return is_impossible<S>(v.limits(), v.value<S>());
    }

    static constexpr bool screen(const readings& r, const context& c,
                                 const limits&) requires is_score {
        const auto value = r.value<S>();
        return any(is_impossible<S>(c.limits(), value), has_fraction(value.value()));
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto value = r.value<S>();
        const bool outside = is_impossible<S>(c.limits(), value);
        if constexpr (is_coma_part) {
            return all(screen(r, c, l), !coma_parts_not_given(r));
        } else if constexpr (is_score) {
            return screen(r, c, l);
        } else if constexpr (zero_is_asked_elsewhere) {
            return all(outside, value.value() != real{0});
        } else {
            return outside;
        }
    }

private:
    static constexpr bool is_coma_part = S::info.id == sign_id::coma_eye ||
                                         S::info.id == sign_id::coma_verbal ||
                                         S::info.id == sign_id::coma_motor;
    static constexpr bool zero_is_asked_elsewhere =
        S::info.id == sign_id::mean_pressure || S::info.id == sign_id::temperature;
};

using impossible_family = check_list<
    impossible<sign::systolic>, impossible<sign::diastolic>, impossible<sign::mean_pressure>,
    impossible<sign::pulse>, impossible<sign::ecg_rate>, impossible<sign::respiratory_rate>,
    impossible<sign::saturation>, impossible<sign::glucose>, impossible<sign::exhaled_co2>,
    impossible<sign::temperature>, impossible<sign::coma_eye>, impossible<sign::coma_verbal>,
    impossible<sign::coma_motor>, impossible<sign::coma_total>, impossible<sign::responsiveness>>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
