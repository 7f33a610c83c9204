// The lowest and highest values of a stretch of rows, and the differences that checks compare.
// Used by checks that can tell from them that no row of the stretch concerns them, and filled by
// the kernel. Promises that a difference is worked out in one place, for one row and for many.
#pragma once

#include <vitalproof/lanes.hpp>

#include <array>
#include <cstddef>

namespace vitalproof::inline VITALPROOF_ABI {

/// One value of a set less another, a tag type each; NaN where either is missing.
namespace difference {

struct pulse_pressure {
    using signs = sign_list<sign::systolic, sign::diastolic>;
    using unit = units::mmhg;
    static constexpr quantity<unit, real> of(const row_values& v) {
        return v.value<sign::systolic>() - v.value<sign::diastolic>();
    }
};

/// Mean pressure less the systolic.
struct mean_above_systolic {
    using signs = sign_list<sign::mean_pressure, sign::systolic>;
    using unit = units::mmhg;
    static constexpr quantity<unit, real> of(const row_values& v) {
        return v.value<sign::mean_pressure>() - v.value<sign::systolic>();
    }
};

/// Diastolic less the mean pressure.
struct mean_below_diastolic {
    using signs = sign_list<sign::diastolic, sign::mean_pressure>;
    using unit = units::mmhg;
    static constexpr quantity<unit, real> of(const row_values& v) {
        return v.value<sign::diastolic>() - v.value<sign::mean_pressure>();
    }
};

/// Mean pressure less D + (S - D) / 3, standard physiology.
struct mean_off_formula {
    using signs = sign_list<sign::systolic, sign::diastolic, sign::mean_pressure>;
    using unit = units::mmhg;
    static constexpr quantity<unit, real> formula(const row_values& v) {
        constexpr real third = real{1} / real{3};  // a division would keep loops scalar
        return v.value<sign::diastolic>() + pulse_pressure::of(v) * third;
    }
    static constexpr quantity<unit, real> of(const row_values& v) {
        return v.value<sign::mean_pressure>() - formula(v);
    }
};

/// Pulse less the ECG rate.
struct pulse_above_ecg {
    using signs = sign_list<sign::pulse, sign::ecg_rate>;
    using unit = units::per_minute;
    static constexpr quantity<unit, real> of(const row_values& v) {
        return v.value<sign::pulse>() - v.value<sign::ecg_rate>();
    }
};

/// Coma score less the sum of its parts.
struct coma_total_above_sum {
    using signs = sign_list<sign::coma_eye, sign::coma_verbal, sign::coma_motor, sign::coma_total>;
    using unit = units::point;
    static constexpr quantity<unit, real> sum(const row_values& v) {
        return v.value<sign::coma_eye>() + v.value<sign::coma_verbal>() +
               v.value<sign::coma_motor>();
    }
    static constexpr quantity<unit, real> of(const row_values& v) {
        return v.value<sign::coma_total>() - sum(v);
    }
};

}  // namespace difference

template <class... D>
struct difference_list {
    static constexpr std::size_t size = sizeof...(D);

    template <class Wanted>
    static constexpr std::size_t index_of() {
        std::size_t index = 0;
        // Stops counting at the first that is the one.
        static_cast<void>(((std::same_as<D, Wanted> ? true : (++index, false)) || ...));
        return index;
    }
};

using all_differences =
    difference_list<difference::pulse_pressure, difference::mean_above_systolic,
                    difference::mean_below_diastolic, difference::mean_off_formula,
                    difference::pulse_above_ecg, difference::coma_total_above_sum>;

/// Farther from zero than that, either way.
template <class Unit>
constexpr bool is_farther_than(quantity<Unit, real> difference, quantity<Unit, real> by) {
    return any(difference > by, -difference > by);
}

/// The lowest, or the highest, value of each sign and each difference in a stretch of rows. NaN is
/// passed over; where nothing has a value the lowest is +infinity and the highest -infinity, or
/// both are NaN.
class extreme_values : public row_values {
public:
    static constexpr std::size_t columns = sign_count + all_differences::size;

    constexpr extreme_values(const real* values, std::size_t stride, lane_int yes, lane_int no,
                             const sign_limits& limits)
        : row_values(values, stride), yes_(yes), no_(no), limits_(&limits) {}

    template <class D>
    constexpr quantity<typename D::unit, real> of() const {
        constexpr std::size_t column = sign_count + all_differences::index_of<D>();
        static_assert(column < columns, "the difference is not in all_differences");
        return quantity<typename D::unit, real>::from_value(values_[column * stride_]);
    }

    /// Whether a fact is known to hold, or known not to hold, in any row of the stretch or near it.
    constexpr bool is_somewhere(fact f) const { return (yes_ & bit_of(f)) != 0; }
    constexpr bool is_not_somewhere(fact f) const { return (no_ & bit_of(f)) != 0; }

    constexpr const sign_limits& limits() const { return *limits_; }

private:
    lane_int yes_;
    lane_int no_;
    const sign_limits* limits_;
};

/// Zero or less: the bounds of a check that fires on zero.
template <VitalSign S>
constexpr bool reaches_zero(const row_values& values) {
    return values.value<S>().value() <= real{0};
}

}  // namespace vitalproof::inline VITALPROOF_ABI
