// Where the values of a sign lie among people, and how far they move from one reading to the next.
// Used by what weighs slips, in explanations and in checks. The figures are rounded from the half
// of public data that detection is not measured on (NHANES 2009-2012, CRASH-2, PhysioNet Challenge
// 2012; `tests/detection/spreads.py`) where they hold the sign, else from memory.
#pragma once

#include <vitalproof/signs.hpp>

#include <array>

namespace vitalproof::inline VITALPROOF_ABI {

/// Where the values of a sign lie among people, and how far a reading lies from the next: at once,
/// and for the square root of each minute between.
struct sign_spread {
    double middle;
    double below;
    double above;
    double step;
    double step_a_minute;
};

/// Of adults, by sign_id.
inline constexpr std::array<sign_spread, sign_count> adult_spreads{{
    {125, 20, 25, 8, 1.5},      // systolic
    {74, 12, 12, 6, 1},         // diastolic, where there is no systolic
    {92, 15, 18, 6, 1},         // mean, where there is no pressure it is the mean of
    {86, 16, 21, 5, 0.8},       // pulse
    {86, 16, 21, 5, 0.8},       // ECG rate, where there is no pulse
    {18, 4, 6, 3, 0.4},         // respiratory rate
    {97, 3.5, 2, 1.5, 0.3},     // saturation
    {125, 30, 55, 12, 4},       // glucose
    {37, 7, 7, 4, 0.6},         // exhaled CO2
    {37, 0.6, 0.7, 0.2, 0.06},  // temperature
    {4, 1, 1, 0.7, 0.05},       // coma score: eye, verbal, motor, total; responsiveness
    {5, 1.3, 1, 0.7, 0.05},
    {6, 1.3, 1, 0.7, 0.05},
    {15, 3, 1, 1, 0.1},
    {1, 1, 1, 0.7, 0.05},
}};

}  // namespace vitalproof::inline VITALPROOF_ABI
