// The checks of whole reports, by the conditions that they share.
// Used by the examiner. Promises every such check once, in the order of the catalogue.
#pragma once

#include <vitalproof/finding.hpp>
#include <vitalproof/run.hpp>

#include <array>
#include <cstddef>

namespace vitalproof::inline VITALPROOF_ABI {
namespace detail {

/// Checks of reports that follow each other and share their condition, if any.
struct report_group {
    bool (*concerns)(const care_report&, std::size_t set) = nullptr;
    std::size_t first = 0;  ///< place among checks_of_reports
    std::size_t end = 0;
};

constexpr bool goes_on_at(std::size_t place) {
    return place != 0 && report_table[checks_of_reports[place]].concerns ==
                             report_table[checks_of_reports[place - 1]].concerns;
}

inline constexpr std::size_t report_group_count = [] {
    std::size_t count = 0;
    for (std::size_t place = 0; place < checks_of_reports.size(); ++place) {
        count += goes_on_at(place) ? 0U : 1U;
    }
    return count;
}();

inline constexpr auto report_groups = [] {
    std::array<report_group, report_group_count> groups{};
    std::size_t count = 0;
    for (std::size_t place = 0; place < checks_of_reports.size(); ++place) {
        if (!goes_on_at(place)) {
            groups[count++] = {report_table[checks_of_reports[place]].concerns, place, place};
        }
        ++groups[count - 1].end;
    }
    return groups;
}();

}  // namespace detail
}  // namespace vitalproof::inline VITALPROOF_ABI
