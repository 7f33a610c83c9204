// The tables of limits for single readings, with where each figure comes from.
// Used by the families `impossible` and `unlikely` and by every check that asks whether a value
// would be believable. Promises that every figure is a default: an agency's limits file, or a
// program, may set any of them; a check's own limits live with the check.
#pragma once

#include <vitalproof/facts.hpp>
#include <vitalproof/signs.hpp>

#include <array>
#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {

/// From `low` to `high`, both included, in the unit the sign is held in.
struct bounds {
    real low;
    real high;
    std::string_view source;
};

/// A believable range that replaces the general one while a fact is known to hold.
struct bounds_when {
    sign_id sign;
    fact when;
};

inline constexpr std::array<bounds_when, 6> believable_exceptions{{
    {sign_id::pulse, fact::under_two},
    {sign_id::ecg_rate, fact::under_two},
    {sign_id::respiratory_rate, fact::under_two},
    {sign_id::glucose, fact::laboratory_glucose},
    {sign_id::temperature, fact::exposure},
    {sign_id::temperature, fact::arrest},
}};

namespace detail {
inline constexpr std::string_view practice = "common practice, no source";
inline constexpr std::string_view schema_narrowed =
    "common practice, no source; within the bounds of the national EMS data standard (NEMSIS "
    "v3.5.0 schema)";
inline constexpr std::string_view schema_bound =
    "bounds of the national EMS data standard (NEMSIS v3.5.0 schema)";
inline constexpr std::string_view coma_scale =
    "the scale's definition (NEMSIS v3.5.0 data dictionary)";
}  // namespace detail

/// The limits of single readings. Zero is inside `possible` wherever arrest makes it true: tables
/// made for intensive care begin at 14 to 50 and reject the sickest patients.
struct sign_limits {
    /// Outside it there is no measurement.
    std::array<bounds, sign_count> possible{{
        {0, 300, detail::schema_narrowed},  // systolic
        {0, 250, detail::schema_narrowed},  // diastolic
        {1, 275, detail::schema_narrowed},  // mean
        {0, 350, detail::schema_narrowed},  // pulse
        {0, 350, detail::schema_narrowed},  // ECG rate
        {0, 120, detail::schema_narrowed},  // respiratory rate
        {0, 100, detail::schema_bound},     // saturation
        {0, 2000, detail::schema_bound},    // glucose
        {0, 150, detail::schema_narrowed},  // exhaled CO2
        {10, 47, detail::schema_narrowed},  // temperature
        {1, 4, detail::coma_scale},
        {1, 5, detail::coma_scale},
        {1, 6, detail::coma_scale},
        {3, 15, detail::coma_scale},
        {1, 4, "alert, verbal, painful, unresponsive (NEMSIS v3.5.0 data dictionary)"},
    }};

    /// Outside it, ask.
    std::array<bounds, sign_count> believable{{
        {40, 260, detail::practice},
        {20, 160, detail::practice},
        {25, 200, detail::practice},
        {20, 250, detail::practice},
        {20, 250, detail::practice},
        {4, 70, detail::practice},
        {50, 100, detail::practice},
        {20, 600, "what a common meter can read; common practice, no source"},
        {3, 110, detail::practice},
        {30, 42.5F, detail::practice},
        {1, 4, detail::coma_scale},
        {1, 5, detail::coma_scale},
        {1, 6, detail::coma_scale},
        {3, 15, detail::coma_scale},
        {1, 4, detail::coma_scale},
    }};

    /// In the order of `believable_exceptions`.
    std::array<bounds, believable_exceptions.size()> believable_when{{
        {40, 300, detail::practice},
        {40, 300, detail::practice},
        {10, 100, detail::practice},
        {15, 1200, detail::practice},
        {13, 46, detail::practice},
        {13, 46, detail::practice},
    }};

    /// The adult reference a reviewer sees. Outside it a value is clinical, never a data error.
    std::array<bounds, sign_count> usual{{
        {90, 140, detail::practice},
        {60, 90, detail::practice},
        {65, 110, detail::practice},
        {60, 100, detail::practice},
        {60, 100, detail::practice},
        {12, 20, detail::practice},
        {94, 100, detail::practice},
        {70, 140, detail::practice},
        {35, 45, detail::practice},
        {36, 38, detail::practice},
        {4, 4, detail::coma_scale},
        {5, 5, detail::coma_scale},
        {6, 6, detail::coma_scale},
        {15, 15, detail::coma_scale},
        {1, 1, detail::practice},
    }};
};

}  // namespace vitalproof::inline VITALPROOF_ABI
