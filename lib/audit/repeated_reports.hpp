// Looks for reports that hold the same sets, over a whole batch of any size.
// Used by the audit. Promises memory that does not grow with the batch, and findings in the order
// of the later reports, one each.
#pragma once

#include "audit/spool.hpp"
#include <vitalproof/batch_finding.hpp>
#include <vitalproof/care_report.hpp>

#include <cstddef>
#include <cstdint>
#include <map>
#include <vector>

namespace vitalproof::audit {

class repeated_reports {
public:
    /// Reports that are found beyond these are not listed.
    static constexpr std::size_t most_found = 10'000;

    /// Takes a report with its sets in the order of their times where all have one.
    void add(const care_report& report);

    /// What is found; not whole where the spool could not be kept, which `failed` tells.
    std::vector<batch_finding> found();
    bool failed() const { return pairs_.failed() || told_.failed() || ids_.failed(); }

private:
    /// A pair of sets that follow each other: two hashes of their values, and where it stands.
    struct pair {
        std::uint64_t values;
        std::uint64_t more_of_values;
        std::uint32_t report;  // a place among told_
        std::uint32_t set;     // the first of the two
    };
    /// A report that has such a pair. Looked at only where two have the same.
    struct told_report {
        std::uint64_t incident;  // hashes; zero where the source does not say
        std::uint64_t device;
        scratch_file::place id;
    };
    using found_by_report = std::map<std::uint32_t, batch_finding>;

    void tell(const care_report& report);
    told_report told(std::uint32_t report);
    void look_through(std::size_t part, found_by_report& into);
    void compare(const pair& first, const pair& later, found_by_report& into);

    spool pairs_;
    scratch_file told_;  // one told_report behind the other
    scratch_file ids_;
    std::uint32_t reports_told_ = 0;
    // Of the part at hand: pairs by their values, the first of each.
    std::vector<std::uint32_t> first_of_;
};

}  // namespace vitalproof::audit
