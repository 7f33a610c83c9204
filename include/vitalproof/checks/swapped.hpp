// Two fields that make sense the other way round.
// Used by the catalogue. Promises a notice for the reviewer only: the readings themselves are
// already asked about by the checks they fail, and the crew is not led.
#pragma once

#include <vitalproof/checks/pressure.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

struct swapped_pressure {
    static constexpr check_info info{
        .code = "swapped.pressure",
        .title = "Systolic and diastolic as if swapped",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "Systolic {systolic} and diastolic {diastolic} are charted. Please check which "
            "is which.",
        .expected = "the other way round, both would be believable",
        .why = "Swapped, both are believable and a usual distance apart.",
        .source = "common practice, no source",
        .context = "",
    };
    using needs = sign_list<sign::systolic, sign::diastolic>;
    using sees = sign_list<>;
    struct limits {
        pressure_value apart_low = real{10} * mmHg;
        pressure_value apart_high = real{140} * mmHg;
        static constexpr auto fields() {
            constexpr std::string_view source = "common practice, no source";
            return std::tuple{
                own_limit<limits, units::mmhg>{"apart_low", &limits::apart_low, source},
                own_limit<limits, units::mmhg>{"apart_high", &limits::apart_high, source}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return -v.of<difference::pulse_pressure>() >= l.apart_low;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto systolic = r.value<sign::systolic>();
        const auto diastolic = r.value<sign::diastolic>();
        const auto apart = -difference::pulse_pressure::of(r);
        return all(apart >= l.apart_low, apart <= l.apart_high,
                   c.is_believable<sign::systolic>(diastolic),
                   c.is_believable<sign::diastolic>(systolic));
    }
};

struct swapped_pulse_saturation {
    static constexpr check_info info{
        .code = "swapped.pulse_saturation",
        .title = "Pulse and saturation as if swapped",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::saturation,
        .question =
            "Oxygen saturation {saturation} and pulse {pulse} are charted. Please check "
            "which is which.",
        .expected = "the other way round, both would be believable",
        .why =
            "The saturation cannot be one; as a pulse it is believable, and the pulse would "
            "make a saturation.",
        .source = "common practice, no source",
        .context = "Under two years of age the ranges of that age decide what is believable.",
    };
    using needs = sign_list<sign::pulse, sign::saturation>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return is_impossible<sign::saturation>(v.limits(), v.value<sign::saturation>());
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        const auto saturation = r.value<sign::saturation>();
        const auto pulse = r.value<sign::pulse>();
        const auto as_pulse = lane_value_of<sign::pulse>::from_value(saturation.value());
        const auto as_saturation = lane_value_of<sign::saturation>::from_value(pulse.value());
        return all(is_impossible<sign::saturation>(c.limits(), saturation),
                   c.is_believable<sign::pulse>(as_pulse),
                   c.is_believable<sign::saturation>(as_saturation));
    }
};

struct swapped_pulse_breathing {
    static constexpr check_info info{
        .code = "swapped.pulse_breathing",
        .title = "Pulse and respiratory rate as if swapped",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::respiratory_rate,
        .question =
            "Respiratory rate {respiratory_rate} and pulse {pulse} are charted. Please "
            "check which is which.",
        .expected = "the other way round, both would be believable",
        .why = "Neither is believable as charted; the other way round both are.",
        .source = "common practice, no source",
        .context = "Under two years of age the ranges of that age decide what is believable.",
    };
    using needs = sign_list<sign::pulse, sign::respiratory_rate>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return is_doubtful_for_some<sign::respiratory_rate>(v.limits(),
                                                            v.value<sign::respiratory_rate>());
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        const auto breathing = r.value<sign::respiratory_rate>();
        const auto pulse = r.value<sign::pulse>();
        return all(!c.is_believable<sign::respiratory_rate>(breathing),
                   !c.is_believable<sign::pulse>(pulse), c.is_believable<sign::pulse>(breathing),
                   c.is_believable<sign::respiratory_rate>(pulse));
    }
};

using swapped_family =
    check_list<swapped_pressure, swapped_pulse_saturation, swapped_pulse_breathing>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
