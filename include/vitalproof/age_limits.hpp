// Limits that follow from a child's age: pulse, breathing and the pressure called low.
// Used by both runners, which resolve them once a report. Promises NaN for adults and unknown
// ages, so that a predicate that forgets to ask for a child can never fire on one.
#pragma once

#include <vitalproof/lanes.hpp>

#include <array>
#include <cmath>
#include <limits>
#include <optional>

namespace vitalproof::inline VITALPROOF_ABI {

using age_limit_values = std::array<real, age_limit_count>;

/// Pulse and breathing of well children: 1st, 50th and 99th centile from an age on.
/// Source: Fleming et al. 2011, Lancet 377:1011. Numbers retyped from public code copies of it.
struct child_centiles {
    double from_months;
    std::array<real, 3> pulse;
    std::array<real, 3> breathing;
};

inline constexpr std::array<child_centiles, 13> centiles_of_well_children{{
    {0, {107, 143, 181}, {25, 43, 66}},
    {3, {104, 140, 175}, {24, 41, 64}},
    {6, {98, 134, 168}, {23, 39, 61}},
    {9, {93, 128, 161}, {22, 37, 58}},
    {12, {88, 123, 156}, {21, 35, 53}},
    {18, {82, 116, 149}, {19, 31, 46}},
    {24, {76, 110, 142}, {18, 28, 38}},
    {36, {70, 104, 136}, {17, 25, 33}},
    {48, {65, 98, 131}, {17, 23, 29}},
    {72, {59, 91, 123}, {16, 21, 27}},
    {96, {52, 84, 115}, {14, 19, 25}},
    {144, {47, 78, 108}, {12, 18, 23}},
    {180, {43, 73, 104}, {11, 16, 22}},
}};

/// Up to half of sick children fall outside the centiles of well ones, so a notice waits until a
/// value lies this share beyond them (common practice, no source).
inline constexpr real beyond_centiles = real{0.2F};

/// Systolic under which a child is hypotensive: 60 to 28 days, 70 to a year, 70 + 2 x age to ten
/// years, 90 over ten. Source: PALS, from memory.
constexpr real child_hypotension(age_in_years age) {
    const double years = age.count();
    if (years <= 28 / 365.25) {
        return 60;
    }
    if (years < 1) {
        return 70;
    }
    return years <= 10 ? static_cast<real>(70 + 2 * static_cast<int>(years)) : real{90};
}

constexpr age_limit_values no_age_limits() {
    age_limit_values none{};
    none.fill(std::numeric_limits<real>::quiet_NaN());
    return none;
}

/// The centiles of an age under 16 years; null for every other.
constexpr const child_centiles* centiles_of(std::optional<age_in_years> age) {
    if (!facts_of_age(age).is(fact::child)) {
        return nullptr;
    }
    const double months = age->count() * 12;
    const child_centiles* band = &centiles_of_well_children.front();
    for (const auto& candidate : centiles_of_well_children) {
        if (months >= candidate.from_months) {
            band = &candidate;
        }
    }
    return band;
}

/// The limits of an age under 16 years; NaN for every other.
constexpr age_limit_values age_limits_of(std::optional<age_in_years> age) {
    age_limit_values found = no_age_limits();
    const child_centiles* band = centiles_of(age);
    if (band == nullptr) {
        return found;
    }
    found = {band->pulse[0] * (1 - beyond_centiles), band->pulse[2] * (1 + beyond_centiles),
             band->breathing[0] * (1 - beyond_centiles), band->breathing[2] * (1 + beyond_centiles),
             child_hypotension(*age)};
    return found;
}

}  // namespace vitalproof::inline VITALPROOF_ABI
