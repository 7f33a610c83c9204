// Counts over a batch: what was read, what was found, by check, sign, kind and crew.
// Filled by the audit, read by writers. Promises whole numbers that add up, in bounded memory.
#pragma once

#include <vitalproof/batch_finding.hpp>
#include <vitalproof/care_report.hpp>
#include <vitalproof/finding.hpp>

#include <array>
#include <cstdint>
#include <map>
#include <span>
#include <string>

namespace vitalproof::audit {

/// Findings by what they ask.
struct asked {
    std::uint64_t reject = 0;
    std::uint64_t query = 0;
    std::uint64_t notice = 0;

    void add(asks what);
    void add(const asked& other);
    std::uint64_t total() const { return reject + query + notice; }
};

/// What one crew charted and what was asked of it, not of its export.
struct set_counts {
    std::uint64_t sets = 0;
    std::uint64_t sets_rejected = 0;
    std::uint64_t sets_queried = 0;  ///< not those already rejected
};

class tally {
public:
    using by_name = std::map<std::string, set_counts>;

    /// Crews, and devices, counted by name; the sets of any beyond these are counted together.
    static constexpr std::size_t most_names = 10'000;
    static constexpr const char* other_crews = "(other crews)";
    static constexpr const char* other_devices = "(other devices)";

    void add_report(const care_report& report);
    /// The findings of one set, all at once.
    void add_findings(std::span<const finding> of_set);
    void add_finding(const batch_finding& of_column);
    /// Takes in what another one counted of the same reports. Names that are new here are counted
    /// with the others.
    void add(const tally& other);

    std::uint64_t reports = 0;
    std::uint64_t sets = 0;
    std::uint64_t reports_too_long = 0;  ///< for checks of a whole report
    std::uint64_t readings =
        0;  ///< cells that hold something: a number, HI, LO, or unreadable text
    std::uint64_t sets_rejected = 0;
    std::uint64_t sets_queried = 0;  ///< not those already rejected
    /// Neither, but with rejects or queries that are part of a finding about a whole column.
    std::uint64_t sets_part_of_batch = 0;

    std::array<std::uint64_t, check_count> by_check{};
    std::array<std::uint64_t, sign_count> readings_by_sign{};
    std::array<asked, sign_count> by_sign{};
    std::array<asked, 4> by_kind{};
    std::array<std::uint64_t, batch_check_count> by_batch_check{};
    asked all{};
    asked part_of_batch{};  ///< of these, those that are part of a finding about a whole column
    by_name by_crew{};
    by_name by_device{};  ///< empty where no source names one

private:
    static set_counts& counts_of(by_name& names, const std::string& name, const char* others);
    template <class Count>
    void count_by_name(const std::string& crew, const std::string& device, Count&& count);
};

}  // namespace vitalproof::audit
