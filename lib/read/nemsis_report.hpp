// One patient care report of the national EMS data standard into ours.
// Used by the standard's file reader. Promises that the standard's groups stay sets of their own,
// that every absence keeps its reason, and that nothing is taken over but what decides whether a
// vital sign can be true.
#pragma once

#include "read/cell.hpp"
#include <vitalproof/care_report.hpp>

#include <cstdint>
#include <span>
#include <string>

namespace pugi {
class xml_node;
}

namespace vitalproof::read::nemsis {

/// What reading one report came to.
struct report_outcome {
    std::uint64_t examined = 0;  ///< groups that became sets
    std::uint64_t other = 0;     ///< groups without a vital sign
    std::uint64_t unreadable_times = 0;
    std::uint64_t unreadable_ages = 0;
    bool has_identifier = false;
};

/// Fills `report`, which must be empty, from a PatientCareReport element. `lines` are those on
/// which its vital-sign groups begin.
report_outcome read_report(const pugi::xml_node& element, const co2_percent_basis& co2,
                           std::span<const std::uint64_t> lines, care_report& report);

}  // namespace vitalproof::read::nemsis
