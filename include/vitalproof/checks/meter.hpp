// The span of a device: HI and LO where no device of the sign shows them, and numbers that stand
// for HI or lie where no device is tested. Used by the catalogue. Promises that HI and LO of a
// glucose meter are taken as what they are, true and critical readings (family `clinical`), and
// never asked about here.
#pragma once

#include <vitalproof/check.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

/// HI, LO, ">300" or "<40" for a sign whose devices show a number.
template <VitalSign S>
struct beyond {
    static constexpr auto code = code_for<S, 8>("beyond.");
    static constexpr check_info info{
        .code = code,
        .title = "No number for {label}",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::conformance,
        .sign = S::info.id,
        .question = "The {label} is charted as {charted}. Was a number shown?",
        .expected = "a value in {unit}",
        .why =
            "HI and LO are readings of a glucose meter; for this sign they leave the value open.",
        .source = "common practice, no source",
        .context = "",
    };
    using needs = sign_list<>;
    using sees = sign_list<S>;
    using limits = no_limits;
    static constexpr bool odd_states_only = true;

    static constexpr bool fires(const readings& r, const context&, const limits&) {
        return any(r.is<S>(reading_state::above), r.is<S>(reading_state::below));
    }
};

struct meter_edge {
    static constexpr check_info info{
        .code = "meter.edge",
        .title = "Glucose at the meter's edge",
        .asks = asks::notice,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::glucose,
        .question = "Blood glucose is charted as {charted}. Did the meter show a number, or HI?",
        .expected = "a number within the meter's span, or HI",
        .why = "600, 601 and 999 are often typed where the meter showed HI.",
        .source = "common practice, no source",
        .context = "Not asked of a laboratory glucose.",
    };
    using needs = sign_list<sign::glucose>;
    using sees = sign_list<>;
    struct limits {
        quantity<units::mg_per_dl, real> top = real{600} * mg_per_dL;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::mg_per_dl>{"top", &limits::top,
                                                                  "common practice, no source"}};
        }
    };

    static constexpr auto filler = real{999} * mg_per_dL;

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        const auto value = v.value<sign::glucose>();
        return any(value >= l.top, value >= filler);
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const auto value = r.value<sign::glucose>();
        return all(!c.is(fact::laboratory_glucose),
                   any(value == l.top, value == l.top + real{1} * mg_per_dL, value == filler));
    }
};

struct meter_oximeter {
    static constexpr check_info info{
        .code = "meter.oximeter",
        .title = "Saturation below what oximeters are tested for",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::saturation,
        .question = "Oxygen saturation is charted as {charted}. What did the pleth wave look like?",
        .expected = "from {tested_from}",
        .why =
            "Oximeters state their error from 70 to 100 %; below, the number says low and little "
            "more.",
        .source = "ISO 80601-2-61 (error stated over 70 to 100 %), from memory",
        .context = "",
    };
    using needs = sign_list<sign::saturation>;
    using sees = sign_list<>;
    struct limits {
        quantity<units::percent, real> tested_from = real{70} * percent;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::percent>{
                "tested_from", &limits::tested_from,
                "ISO 80601-2-61 (error stated over 70 to 100 %), from memory"}};
        }
    };

    static constexpr bool strays(const extreme_values& v, const limits& l) {
        return v.value<sign::saturation>() < l.tested_from;
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        // What is not believable either is asked about by unlikely.saturation.
        const auto saturation = r.value<sign::saturation>();
        return all(saturation < l.tested_from, c.is_believable<sign::saturation>(saturation));
    }
};

using meter_family =
    check_list<beyond<sign::systolic>, beyond<sign::diastolic>, beyond<sign::mean_pressure>,
               beyond<sign::pulse>, beyond<sign::ecg_rate>, beyond<sign::respiratory_rate>,
               beyond<sign::saturation>, beyond<sign::exhaled_co2>, beyond<sign::temperature>,
               beyond<sign::coma_eye>, beyond<sign::coma_verbal>, beyond<sign::coma_motor>,
               beyond<sign::coma_total>, meter_edge, meter_oximeter>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
