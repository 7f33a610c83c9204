// What checks of a reading among its neighbours share: how far signs move, when they can be
// compared, and what may be the reason for any change.
// Used by change.hpp and slip.hpp. Promises that each of these is said once.
#pragma once

#include <vitalproof/check.hpp>

#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks::detail {

/// How far a sign moves, in the unit it is held in.
struct movement {
    real spike;  ///< from both neighbours
    real agree;  ///< between two readings that tell of the same state
    real step;   ///< from the reading before
};

template <VitalSign S>
constexpr movement usual_movement() {
    switch (S::info.id) {
        case sign_id::systolic:
            return {50, 20, 80};
        case sign_id::diastolic:
            return {35, 15, 60};
        case sign_id::respiratory_rate:
            return {20, 8, 30};
        case sign_id::saturation:
            return {20, 5, 30};
        case sign_id::exhaled_co2:
            return {25, 10, 40};
        default:  // pulse and ECG rate
            return {50, 20, 70};
    }
}

/// What may be the reason for any change.
constexpr bool has_reason_to_change(const context& c) {
    return any(c.is(fact::arrest), c.is(fact::compressions), c.is(fact::treated),
               c.is(fact::airway_attempt), c.is(fact::assist_device));
}

inline constexpr std::string_view reasons_to_change =
    "Silent in known arrest or compressions, with an assist device, within ten minutes of a "
    "treatment that changes vital signs, and near an airway attempt.";

/// The sign that a failing heart moves together with S: of the pulse the pressure, of the pressure
/// the pulse. A digit or a loose sensor moves one of them alone.
template <VitalSign S>
struct moves_with {
    using signs = sign_list<>;
};
template <VitalSign S>
requires(S::info.id == sign_id::systolic || S::info.id == sign_id::diastolic) struct moves_with<S> {
    using signs = sign_list<sign::pulse>;
};
template <VitalSign S>
requires(S::info.id == sign_id::pulse || S::info.id == sign_id::ecg_rate) struct moves_with<S> {
    using signs = sign_list<sign::systolic>;
};

/// Whether the reading of Other lies beyond both of its neighbours too, and by more than those that
/// tell of the same state differ; never where one of the three is missing.
template <VitalSign Other>
constexpr bool is_below_both(const readings& r, const neighbours& n) {
    using step = quantity<typename Other::unit, real>;
    const auto value = r.value<Other>();
    const auto far = step::from_value(usual_movement<Other>().agree);
    return all(n.before<Other>() - value > far, n.after<Other>() - value > far);
}
template <VitalSign... Other>
constexpr bool falls_together(sign_list<Other...>, const readings& r, const neighbours& n) {
    return any(false, is_below_both<Other>(r, n)...);
}

/// The same beside those neighbours that there are, and above them.
template <VitalSign Other>
constexpr bool is_below_any_there(const readings& r, const neighbours& n) {
    using step = quantity<typename Other::unit, real>;
    const auto value = r.value<Other>();
    const auto far = step::from_value(usual_movement<Other>().agree);
    const auto last = n.before<Other>() - value;
    const auto next = n.after<Other>() - value;
    return all(!(last <= far), !(next <= far), any(last > far, next > far));
}
template <VitalSign Other>
constexpr bool is_above_any_there(const readings& r, const neighbours& n) {
    using step = quantity<typename Other::unit, real>;
    const auto value = r.value<Other>();
    const auto far = step::from_value(usual_movement<Other>().agree);
    const auto last = value - n.before<Other>();
    const auto next = value - n.after<Other>();
    return all(!(last <= far), !(next <= far), any(last > far, next > far));
}
template <VitalSign... Other>
constexpr bool falls_together_with_any(sign_list<Other...>, const readings& r,
                                       const neighbours& n) {
    return any(false, is_below_any_there<Other>(r, n)...);
}
template <VitalSign... Other>
constexpr bool rises_together_with_any(sign_list<Other...>, const readings& r,
                                       const neighbours& n) {
    return any(false, is_above_any_there<Other>(r, n)...);
}

template <class First, class Second>
struct join;
template <VitalSign... A, VitalSign... B>
struct join<sign_list<A...>, sign_list<B...>> {
    using type = sign_list<A..., B...>;
};
template <class First, class Second>
using joined = typename join<First, Second>::type;

inline constexpr std::string_view reasons_for_a_spike_of_the_heart =
    "Silent in known arrest or compressions, with an assist device, within ten minutes of a "
    "treatment that changes vital signs, and near an airway attempt; and where pulse and pressure "
    "fall together, which is no digit and no sensor.";

template <VitalSign S>
inline constexpr std::string_view reasons_for_a_spike =
    moves_with<S>::signs::size == 0 ? reasons_to_change : reasons_for_a_spike_of_the_heart;

/// A reading that can be compared with others: a zero is asked about by itself.
template <VitalSign S>
constexpr bool is_comparable(const context& c, lane_value_of<S> value) {
    return all(c.is_possible<S>(value), value.value() != real{0});
}

}  // namespace checks::detail
}  // namespace vitalproof::inline VITALPROOF_ABI
