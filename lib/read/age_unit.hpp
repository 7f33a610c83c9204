// The units ages are charted in.
// Used by the readers and by mappings. Promises a name for each.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace vitalproof::read {

enum class age_unit : std::uint8_t { years, months, weeks, days, hours, minutes };

inline constexpr std::array age_units{age_unit::years, age_unit::months, age_unit::weeks,
                                      age_unit::days,  age_unit::hours,  age_unit::minutes};

constexpr std::string_view name_of(age_unit unit) {
    constexpr std::array<std::string_view, age_units.size()> names{"years", "months", "weeks",
                                                                   "days",  "hours",  "minutes"};
    return names[static_cast<std::size_t>(unit)];
}

}  // namespace vitalproof::read
