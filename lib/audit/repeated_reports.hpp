// Looks for reports that hold the same sets, over a whole batch of any size.
// Used by the audit. Promises memory that does not grow with the batch, and findings in the order
// of the later reports, one each.
#pragma once

#include "audit/spool.hpp"
#include <vitalproof/batch_finding.hpp>
#include <vitalproof/care_report.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <map>
#include <string>
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
    bool failed() const { return pairs_.failed() || told_.failed(); }

private:
    /// Pairs of a part that are held at once; of more, those whose values begin alike.
    static constexpr std::size_t most_held = 100'000;

    /// A pair of sets that follow each other: a hash of their values, beside what its part says of
    /// it, and where it stands.
    struct pair {
        std::uint64_t values;
        std::uint64_t report;  // its place in told_
        std::uint32_t set;     // the first of the two
        std::uint16_t more_of_values;
    };
    /// What is kept of a report that has such a pair, in front of its identifier. Looked at only
    /// where two have the same.
    struct told_report {
        std::uint64_t incident;  // hashes; zero where the source does not say
        std::uint64_t device;
        std::uint64_t id_size;
    };
    struct one_part {
        std::uint64_t last_report = 0;
        std::size_t count = 0;
    };
    using found_by_report = std::map<std::uint64_t, batch_finding>;

    void keep(std::uint64_t first, std::uint64_t second, std::uint64_t report, std::size_t set);
    std::uint64_t tell(const care_report& report);
    told_report told(std::uint64_t report);
    std::string id_of(std::uint64_t report, const told_report& of);
    void look_through(std::size_t part, found_by_report& into);
    void hold(std::size_t part, std::size_t turn, std::size_t turns);
    void look_through_held(found_by_report& into);
    void compare(const pair& first, const pair& later, found_by_report& into);

    spool pairs_;
    std::array<one_part, spool::parts> parts_{};
    scratch_file told_;  // each a told_report and its identifier
    std::vector<pair> held_;
    // The first pair of each value, a place among held_.
    std::vector<std::uint32_t> first_of_;
};

}  // namespace vitalproof::audit
