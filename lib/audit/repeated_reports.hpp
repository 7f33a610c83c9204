// Looks for reports that hold the same sets, over a whole batch of any size.
// Used by the audit. Promises memory that does not grow with the batch, and findings in the order
// of the later reports, one each.
#pragma once

#include "audit/spool.hpp"
#include <vitalproof/batch_finding.hpp>
#include <vitalproof/care_report.hpp>

#include <cstdint>
#include <map>
#include <span>
#include <string_view>
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
    bool failed() const { return pairs_.failed(); }

private:
    /// A pair of sets in a report; in the spool the identifier stands behind it.
    struct pair {
        std::uint64_t values[2];  // two hashes of both sets' values
        std::uint64_t report;     // in the order they came
        std::uint64_t incident;   // hashes; zero where the source does not say
        std::uint64_t device;
        std::uint32_t set;  // of the first
        std::uint32_t id_size;
    };
    struct read_pair {
        pair is;
        std::string_view id;
    };

    static read_pair read(std::string_view records, std::size_t at);
    static void compare(const std::vector<read_pair>& same,
                        std::map<std::uint64_t, batch_finding>& into);
    void look_through(std::size_t part, std::map<std::uint64_t, batch_finding>& into);

    spool pairs_;
    std::uint64_t reports_ = 0;
};

}  // namespace vitalproof::audit
