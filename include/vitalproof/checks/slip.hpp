// A reading that passes every limit and yet is a slip to all appearance: with two of its digits the
// other way round it would lie among its neighbours, which agree.
// Used by the catalogue. Promises notices for the reviewer only, and silence where an arrest, a
// treatment or an airway attempt may be the reason, as checks of spikes do; those ask about larger
// distances, whatever the digits.
#pragma once

#include <vitalproof/checks/change.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

/// Rounds down. `share` is a little less than a half of the steps that fractions come in: of whole
/// numbers over ten a tenth, so 0.45. By an addition, which a loop over rows can do many of at
/// once.
constexpr real rounded_down(real value, real share) {
    constexpr real no_room_for_fractions = 12582912;  // nor for those a little below zero
    return (value - share + no_room_for_fractions) - no_room_for_fractions;
}

/// A whole number of two or three digits with its last two, or its first two, the other way round.
struct transposed_digits {
    real last;
    real first;

    constexpr explicit transposed_digits(real value) {
        const real tens = rounded_down(value * real{0.1F}, real{0.45F});
        const real hundreds = rounded_down(value * real{0.01F}, real{0.495F});
        const real middle = tens - 10 * hundreds;
        const real units = value - 10 * tens;
        last = value + 9 * (units - middle);
        first = value + 90 * (middle - hundreds);
    }
};

constexpr bool is_whole_of_several_digits(real value) {
    return all(rounded_down(value, real{0.25F}) == value, value >= 10, value < 1000);
}

/// How near neighbours lie to each other and to what was meant, and how far from the reading.
struct slip_distance {
    real agree;
    real away;
};

template <VitalSign S>
constexpr slip_distance usual_slip() {
    switch (S::info.id) {
        case sign_id::systolic:
            return {12, 20};
        case sign_id::diastolic:
            return {10, 15};
        case sign_id::respiratory_rate:
            return {4, 6};
        default:  // pulse
            return {10, 15};
    }
}

}  // namespace detail

template <VitalSign S>
struct slip_transposed {
    static constexpr auto code = code_for<S, 17>("slip.transposed_");
    static constexpr check_info info{
        .code = code,
        .title = "A {label} that would fit with two digits the other way round",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = S::info.id,
        .question =
            "The {label} is charted as {charted}, between {before} ({since} earlier) and {after} "
            "({until} later). Please look at it in the monitor record; if it stands, say so.",
        .expected =
            "within {agree} of its neighbours, as it is with its digits the other way round",
        .why =
            "The number passes every limit, lies away from two neighbours that agree, and would "
            "lie between them if two of its digits changed places.",
        .source = "common practice, no source",
        .context = detail::reasons_to_change,
    };
    using needs = sign_list<S>;
    using sees = sign_list<>;
    using follows = sign_list<S>;
    struct limits {
        using step = quantity<typename S::unit, real>;
        step away = step::from_value(detail::usual_slip<S>().away);
        step agree = step::from_value(detail::usual_slip<S>().agree);
        minutes_value within = real{15} * minute;
        static constexpr auto fields() {
            constexpr std::string_view source = "common practice, no source";
            return std::tuple{own_limit<limits, typename S::unit>{"away", &limits::away, source},
                              own_limit<limits, typename S::unit>{"agree", &limits::agree, source},
                              own_limit<limits, units::minute>{"within", &limits::within, source}};
        }
    };

    static constexpr bool fires(const readings& r, const neighbours& n, const context& c,
                                const limits& l) {
        const auto value = r.value<S>();
        const auto before = n.before<S>();
        const auto after = n.after<S>();
        const detail::transposed_digits meant(value.value());
        const auto fits = [&](real number) {
            const auto as = lane_value_of<S>::from_value(number);
            return all(as - before <= l.agree, before - as <= l.agree, as - after <= l.agree,
                       after - as <= l.agree);
        };
        return all(is_within(n.since<S>(), l.within), is_within(n.until<S>(), l.within),
                   any(all(value - before > l.away, value - after > l.away),
                       all(before - value > l.away, after - value > l.away)),
                   before - after <= l.agree, after - before <= l.agree,
                   any(fits(meant.last), fits(meant.first)),
                   detail::is_whole_of_several_digits(value.value()),
                   detail::is_comparable<S>(c, value), detail::is_comparable<S>(c, before),
                   detail::is_comparable<S>(c, after), !detail::has_reason_to_change(c));
    }
};

using slip_family =
    check_list<slip_transposed<sign::systolic>, slip_transposed<sign::diastolic>,
               slip_transposed<sign::pulse>, slip_transposed<sign::respiratory_rate>>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
