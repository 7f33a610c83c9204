// Which signs of a set are far enough from usual that somebody should look again.
// Used by checks of a whole report: of its ending and of its gaps. Promises one rule for both; each
// holds the limits it judges by as its own.
#pragma once

#include <vitalproof/checks/of_report.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {
namespace detail {

/// `Self` is the check's own limits, derived from this.
template <class Self>
struct abnormal_limits {
    quantity<units::point, real> coma_under = real{15} * points;
    quantity<units::mg_per_dl, real> glucose_under = real{60} * mg_per_dL;
    quantity<units::percent, real> saturation_under = real{90} * percent;
    quantity<units::mmhg, real> systolic_under = real{90} * mmHg;
    quantity<units::per_minute, real> breathing_under = real{10} * per_minute;
    quantity<units::per_minute, real> breathing_over = real{29} * per_minute;
    quantity<units::per_minute, real> pulse_over = real{120} * per_minute;

    static constexpr auto abnormal_fields() {
        return std::tuple{
            own_limit<Self, units::point>{"coma_under", &Self::coma_under, no_source},
            own_limit<Self, units::mg_per_dl>{"glucose_under", &Self::glucose_under, no_source},
            own_limit<Self, units::percent>{"saturation_under", &Self::saturation_under, no_source},
            own_limit<Self, units::mmhg>{"systolic_under", &Self::systolic_under, no_source},
            own_limit<Self, units::per_minute>{"breathing_under", &Self::breathing_under,
                                               no_source},
            own_limit<Self, units::per_minute>{"breathing_over", &Self::breathing_over, no_source},
            own_limit<Self, units::per_minute>{"pulse_over", &Self::pulse_over, no_source}};
    }
};

/// The abnormal signs of a set. Of a child, pressure, pulse and breathing are left to the limits
/// of its age.
template <class Self>
constexpr std::uint32_t abnormal_signs(const vital_set& set, bool child,
                                       const abnormal_limits<Self>& l) {
    const auto under = [](const auto& r, const auto& limit) {
        return r.state() == reading_state::below ||
               (r.is_number() && r.raw() < static_cast<double>(limit.value()));
    };
    const auto over = [](const auto& r, const auto& limit) {
        return r.is_number() && r.raw() > static_cast<double>(limit.value());
    };
    const auto bit = [](sign_id sign, bool holds) { return holds ? 1U << index_of(sign) : 0U; };
    return bit(sign_id::coma_total, under(set.coma_total, l.coma_under)) |
           bit(sign_id::glucose, under(set.glucose, l.glucose_under)) |
           bit(sign_id::saturation, under(set.saturation, l.saturation_under)) |
           bit(sign_id::systolic, !child && under(set.systolic, l.systolic_under)) |
           bit(sign_id::respiratory_rate,
               !child && (under(set.respiratory_rate, l.breathing_under) ||
                          over(set.respiratory_rate, l.breathing_over))) |
           bit(sign_id::pulse, !child && over(set.pulse, l.pulse_over)) |
           bit(sign_id::ecg_rate, !child && over(set.ecg_rate, l.pulse_over));
}

}  // namespace detail
}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
