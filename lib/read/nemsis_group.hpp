// One group of vital signs of the national EMS data standard into a set.
// Used by the standard's report reader. Promises that every absence keeps its reason, and that a
// group which stands within another lends it nothing.
#pragma once

#include "read/cell.hpp"
#include "read/nemsis_element.hpp"
#include <vitalproof/vital_set.hpp>

#include <optional>

namespace vitalproof::read::nemsis {

inline constexpr name_id vital_group = "eVitals.VitalGroup"_name;

struct group_outcome {
    bool says_something = false;  ///< of any sign: a value, or why there is none
    bool time_unreadable = false;
    std::optional<bool> pain_score{};  ///< whether it was told; none where there is no such element
};

/// Fills `set`, which must be empty.
group_outcome read_group(const node& group, const co2_percent_basis& co2, vital_set& set);

}  // namespace vitalproof::read::nemsis
