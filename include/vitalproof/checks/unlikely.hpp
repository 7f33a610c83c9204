// Readings that can be measured but seldom are, one check for every sign on a continuous scale.
// Used by the catalogue. Promises that a low value which arrest, compressions or an assist device
// make true is not asked about once that is known, and that zero is left to the family `zero`.
// The coma score and responsiveness have none: every possible score is believable.
#pragma once

#include <vitalproof/check.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

template <VitalSign S>
struct unlikely {
    static constexpr auto code = code_for<S, 10>("unlikely.");
    static constexpr check_info info{
        .code = code,
        .title = "Unlikely {label}",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = S::info.id,
        .question = "The {label} is charted as {charted}, outside {low} to {high}. Please check it "
                    "against the monitor record; if it stands, say so.",
        .expected = "{low} to {high}",
        .why = "Such a value can be true, and then it is grave; more often a digit, a unit or a "
               "field slipped.",
        .source = "table `believable`: see the limits in force",
        .context = "A low value is not asked about in known arrest or compressions, nor with an "
                   "assist device; wider ranges hold under two years, with exposure, and for "
                   "laboratory glucose.",
    };
    using needs = sign_list<S>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        const auto value = r.value<S>();
        const bool doubtful = all(c.is_possible<S>(value), !c.is_believable<S>(value));
        const bool low = value.value() < c.limits().believable[index_of(S::info.id)].low;
        if constexpr (falls_in_arrest) {
            const bool excused = any(c.is(fact::arrest), c.is(fact::compressions),
                                     all(fails_with_assist_device, c.is(fact::assist_device)));
            return all(doubtful, value.value() != real{0}, !all(low, excused));
        } else if constexpr (zero_is_asked_elsewhere) {
            return all(doubtful, value.value() != real{0});
        } else {
            return doubtful;
        }
    }

private:
    static constexpr bool fails_with_assist_device =
        S::info.id == sign_id::pulse || S::info.id == sign_id::saturation ||
        S::info.id == sign_id::systolic || S::info.id == sign_id::diastolic;
    static constexpr bool falls_in_arrest =
        fails_with_assist_device || S::info.id == sign_id::mean_pressure ||
        S::info.id == sign_id::ecg_rate || S::info.id == sign_id::respiratory_rate;
    static constexpr bool zero_is_asked_elsewhere = S::info.id == sign_id::glucose;
};

using unlikely_family =
    check_list<unlikely<sign::systolic>, unlikely<sign::diastolic>, unlikely<sign::mean_pressure>,
               unlikely<sign::pulse>, unlikely<sign::ecg_rate>, unlikely<sign::respiratory_rate>,
               unlikely<sign::saturation>, unlikely<sign::glucose>, unlikely<sign::exhaled_co2>,
               unlikely<sign::temperature>>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
