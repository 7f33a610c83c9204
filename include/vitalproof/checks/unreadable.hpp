// Cells that hold something which is not a value of their sign, one check for every sign.
// Used by the catalogue. Promises that an absence with a reason, HI and LO are never unreadable.
#pragma once

#include <vitalproof/check.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

template <VitalSign S>
struct unreadable {
    /// Charted in one unit alone: counted by the minute, in percent, in points, or as a level.
    static constexpr bool has_one_unit = S::info.unit == "/min" || S::info.unit == "%" ||
                                         S::info.unit == "points" || S::info.unit.empty();
    static constexpr auto code = code_for<S, 12>("unreadable.");
    static constexpr check_info info{
        .code = code,
        .title = "Unreadable {label}",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::conformance,
        .sign = S::info.id,
        .question = has_one_unit
                        ? "The {label} holds {charted}, which cannot be read as a value. What was "
                          "the reading?"
                        : "The {label} holds {charted}, which is no value in the unit of its "
                          "field. What was the reading, and in which unit?",
        .expected = "a value in {unit}, or a reason why there is none",
        .why = "The rest of the set was examined; this reading was not.",
        .source = "common practice, no source",
        .context = "",
    };
    using needs = sign_list<>;
    using sees = sign_list<S>;
    using limits = no_limits;
    static constexpr bool odd_states_only = true;

    static constexpr bool fires(const readings& r, const context&, const limits&) {
        return r.is<S>(reading_state::unreadable);
    }
};

using unreadable_family = check_list<
    unreadable<sign::systolic>, unreadable<sign::diastolic>, unreadable<sign::mean_pressure>,
    unreadable<sign::pulse>, unreadable<sign::ecg_rate>, unreadable<sign::respiratory_rate>,
    unreadable<sign::saturation>, unreadable<sign::glucose>, unreadable<sign::exhaled_co2>,
    unreadable<sign::temperature>, unreadable<sign::coma_eye>, unreadable<sign::coma_verbal>,
    unreadable<sign::coma_motor>, unreadable<sign::coma_total>, unreadable<sign::responsiveness>>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
