// Readings that can be measured but seldom are, one check for every sign on a continuous scale.
// Used by the catalogue. Promises that a low value which arrest, compressions or an assist device
// make true is not asked about once that is known, and that zero is left to the family `zero`.
// The coma score and responsiveness have none: every possible score is believable.
#pragma once

#include <vitalproof/check.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

// Signs whose low values an assist device, or a stopped heart, makes true.
template <VitalSign S>
inline constexpr bool falls_with_assist_device =
    S::info.id == sign_id::pulse || S::info.id == sign_id::saturation ||
    S::info.id == sign_id::systolic || S::info.id == sign_id::diastolic;

template <VitalSign S>
inline constexpr bool falls_in_arrest =
    falls_with_assist_device<S> || S::info.id == sign_id::mean_pressure ||
    S::info.id == sign_id::ecg_rate || S::info.id == sign_id::respiratory_rate;

template <VitalSign S>
inline constexpr bool set_by_ventilator = S::info.id == sign_id::respiratory_rate;

/// How what is known changes the range of S, in words; empty where it does not.
template <VitalSign S>
constexpr std::string_view unlikely_context() {
    switch (S::info.id) {
        case sign_id::pulse:
            return "A low value is not asked about in known arrest or compressions, nor with an "
                   "assist device; another range holds under two years.";
        case sign_id::respiratory_rate:
            return "A low value is not asked about in known arrest or compressions, nor when "
                   "ventilated; another range holds under two years.";
        case sign_id::ecg_rate:
            return "A low value is not asked about in known arrest or compressions; another range "
                   "holds under two years.";
        case sign_id::glucose:
            return "A wider range holds for a laboratory glucose.";
        case sign_id::temperature:
            return "A wider range holds with exposure and in known arrest.";
        case sign_id::mean_pressure:
            return "A low value is not asked about in known arrest or compressions.";
        case sign_id::exhaled_co2:
            return "";
        default:
            return "A low value is not asked about in known arrest or compressions, nor with an "
                   "assist device.";
    }
}

template <VitalSign S>
struct unlikely {
    /// Whether a monitor keeps a record of the sign that a crew could look up.
    static constexpr bool on_a_monitor = S::info.id != sign_id::glucose &&
                                         S::info.id != sign_id::temperature &&
                                         S::info.id != sign_id::respiratory_rate;
    static constexpr auto code = code_for<S, 10>("unlikely.");
    static constexpr check_info info{
        .code = code,
        .title = "Unlikely {label}",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = S::info.id,
        .question = on_a_monitor
                        ? "The {label} is charted as {charted}, outside {range}. Please check it "
                          "against the monitor record; if it stands, say so."
                        : "The {label} is charted as {charted}, outside {range}. Please check it; "
                          "if it stands, say so.",
        .expected = "{range}",
        .why =
            "Such a value can be true, and then it is grave; more often a digit, a unit or a "
            "field slipped.",
        .source = "table `believable`: see the limits in force",
        .context = unlikely_context<S>(),
    };
    using needs = sign_list<S>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return is_doubtful_for_some<S>(v.limits(), v.value<S>());
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        const auto value = r.value<S>();
        const bool doubtful = all(c.is_possible<S>(value), !c.is_believable<S>(value));
        if constexpr (falls_in_arrest<S>) {
            // Doubtful and not above the general range is below the one in force: an infant's
            // pulse of 35 is low although it is inside the adult range.
            const bool low = value.value() <= c.limits().believable[index_of(S::info.id)].high;
            const bool excused = any(c.is(fact::arrest), c.is(fact::compressions),
                                     all(falls_with_assist_device<S>, c.is(fact::assist_device)),
                                     all(set_by_ventilator<S>, c.is(fact::ventilated)));
            return all(doubtful, value.value() != real{0}, !all(low, excused));
        } else if constexpr (zero_is_asked_elsewhere) {
            return all(doubtful, value.value() != real{0});
        } else {
            return doubtful;
        }
    }

private:
    static constexpr bool zero_is_asked_elsewhere = S::info.id == sign_id::glucose;
};

using unlikely_family =
    check_list<unlikely<sign::systolic>, unlikely<sign::diastolic>, unlikely<sign::mean_pressure>,
               unlikely<sign::pulse>, unlikely<sign::ecg_rate>, unlikely<sign::respiratory_rate>,
               unlikely<sign::saturation>, unlikely<sign::glucose>, unlikely<sign::exhaled_co2>,
               unlikely<sign::temperature>>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
