// The readings of a set as bare numbers by sign, and the readings before and after each.
// Filled for a set in doubt, read by what weighs slips. Promises neighbours by the rules that
// checks use, at most eight sets away, and that what is no number is NaN.
#pragma once

#include <vitalproof/report_neighbours.hpp>
#include <vitalproof/signs.hpp>

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>

namespace vitalproof::inline VITALPROOF_ABI {

/// Values by sign_id, in the units signs are held in.
using set_numbers = std::array<double, sign_count>;

constexpr set_numbers no_numbers() {
    set_numbers none{};
    none.fill(std::numeric_limits<double>::quiet_NaN());
    return none;
}

/// To the nearest whole number, halves away from zero: std::round, which is a call on processors
/// without an instruction for it. What is too large for a whole number, or none, stays.
inline double nearest_whole(double value) {
    constexpr double fits = 1e15;
    return std::abs(value) < fits
               ? static_cast<double>(static_cast<long long>(value + (value < 0 ? -0.5 : 0.5)))
               : value;
}

inline set_numbers numbers_of(const vital_set& set) {
    set_numbers numbers = no_numbers();
    for_each_sign(all_signs{},
                  [&]<VitalSign S>(S s) { numbers[index_of(S::info.id)] = set[s].raw(); });
    return numbers;
}

/// Of one sign, what stands before and after in the report. NaN where nothing does.
struct sign_neighbours {
    std::array<double, 2> values{std::numeric_limits<double>::quiet_NaN(),
                                 std::numeric_limits<double>::quiet_NaN()};
    std::array<double, 2> minutes{};
    bool beside = false;  ///< whether one of them is in the very next set
    bool alone = false;   ///< whether there is no other set

    bool has(std::size_t side) const { return !std::isnan(values[side]); }
};
using set_neighbours = std::array<sign_neighbours, sign_count>;

namespace detail {

template <class... Id>
constexpr std::uint32_t bits_of(Id... ids) {
    return ((1U << index_of(ids)) | ...);
}

/// Readings without times are taken to lie so far apart (common practice, no source).
inline constexpr double minutes_unknown = 10;
inline constexpr std::size_t most_sets_away = 8;

inline double minutes_between(const vital_set& a, const vital_set& b) {
    if (!a.taken_at || !b.taken_at) {
        return minutes_unknown;
    }
    return std::abs(static_cast<double>(seconds_of(*a.taken_at) - seconds_of(*b.taken_at))) / 60;
}

}  // namespace detail

/// The neighbours of a set's signs; `set` counts from 0.
inline set_neighbours neighbours_of(const care_report& report, std::size_t set) {
    set_neighbours found{};
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        sign_neighbours& of_sign = found[index_of(S::info.id)];
        of_sign.alone = report.sets.size() == 1;
        for (const std::size_t side : {0U, 1U}) {
            const auto other =
                neighbour_of<S>(report, set, side == 0 ? -1 : 1, detail::most_sets_away);
            if (other) {
                of_sign.beside = of_sign.beside || *other + 1 == set || *other == set + 1;
                of_sign.values[side] = report.sets[*other][s].raw();
                of_sign.minutes[side] =
                    detail::minutes_between(report.sets[set], report.sets[*other]);
            }
        }
    });
    return found;
}

}  // namespace vitalproof::inline VITALPROOF_ABI
