// One patient care report of the national EMS data standard into ours.
// Used by the standard's file reader. Promises that the standard's groups stay sets of their own,
// that every absence keeps its reason, and that nothing is taken over but what decides whether a
// vital sign can be true.
#pragma once

#include "read/cell.hpp"
#include "read/nemsis_element.hpp"
#include <vitalproof/care_report.hpp>

#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace vitalproof::read::nemsis {

/// What reading one report came to.
struct report_outcome {
    std::uint64_t examined = 0;  ///< groups that became sets
    std::uint64_t other = 0;     ///< groups without a vital sign
    std::uint64_t unreadable_times = 0;
    std::uint64_t unreadable_ages = 0;
    bool has_identifier = false;
};

/// The lines of a report's groups of vital signs, parted by where the groups stand.
struct group_lines {
    std::vector<std::uint64_t> in_place{};  ///< right in a section eVitals: these are read
    std::vector<std::uint64_t> astray{};    ///< in another section, or in each other: these are not
};

/// Parts the lines of all of a report's groups, in the order in which they begin.
group_lines part_lines(const report_elements& report, std::span<const std::uint64_t> lines);

/// Whether as many groups as there are lines stand in place, so that there is nothing to part.
bool are_all_in_place(const report_elements& report, std::span<const std::uint64_t> lines);

/// Fills `report`, which must be empty, from the elements of a PatientCareReport. `lines` are
/// those on which its groups in place begin.
report_outcome read_report(const report_elements& elements, const co2_percent_basis& co2,
                           std::span<const std::uint64_t> lines, care_report& report);

}  // namespace vitalproof::read::nemsis
