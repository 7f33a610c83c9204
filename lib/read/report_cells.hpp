// What a row says of its report beside the sets: crew and age; device, call, complaint and ending.
// Used by read_delimited. Promises that of each the first row that has it stands.
#pragma once

#include "read/columns.hpp"
#include "read/counted_complaints.hpp"
#include "read/text.hpp"
#include "read/time_zone.hpp"
#include <vitalproof/care_report.hpp>

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

namespace vitalproof::read {

class report_cells {
public:
    /// All must outlive it.
    report_cells(const understanding& columns, std::optional<time_zone>& zone,
                 counted_complaints& complaints);

    /// In line: a call a row costs 25 instructions.
    [[gnu::always_inline]] void take(care_report& report, std::span<const std::string_view> cells,
                                     std::uint64_t line) {
        if (crew_ != nullptr && report.crew.empty()) {
            report.crew.assign(trimmed(cells[crew_->index]));
        }
        if (says_more_) {
            take_more(report, cells, line);
        }
        if (age_ != nullptr && !report.age) {
            take_age(report, cells, line);
        }
    }

private:
    struct call_column {
        const column* where;
        call_time which;
    };

    void take_age(care_report& report, std::span<const std::string_view> cells, std::uint64_t line);
    void take_more(care_report& report, std::span<const std::string_view> cells,
                   std::uint64_t line);

    const understanding& columns_;
    std::optional<time_zone>& zone_;
    counted_complaints& complaints_;
    const column* crew_;
    const column* age_;
    const column* age_unit_;  // else all ages are in the header's
    const column* disposition_;
    const column* device_;
    const column* incident_;
    const column* complaint_;
    std::vector<call_column> call_times_;
    bool says_more_;  // whether any of the last five is there
};

}  // namespace vitalproof::read
