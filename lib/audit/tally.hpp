// Counts over a batch: what was read, what was found, by check, sign, kind and crew.
// Filled by the audit, read by writers. Promises whole numbers that add up, in bounded memory.
#pragma once

#include <vitalproof/batch_finding.hpp>
#include <vitalproof/care_report.hpp>
#include <vitalproof/finding.hpp>

#include <algorithm>
#include <array>
#include <cstddef>
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

using counts_by_name = std::map<std::string, set_counts>;

/// Where the counts of names met lately lie, so that they are not searched for report by report. A
/// copy remembers nothing: they are another tally's.
class remembered_counts {
public:
    remembered_counts() = default;
    remembered_counts(const remembered_counts& /*other*/) {}
    remembered_counts& operator=(const remembered_counts& /*other*/) {
        entries_.fill(nullptr);
        return *this;
    }

    /// The entry of that name, which `find` searches for where it is not remembered.
    template <class Find>
    counts_by_name::value_type& of(const std::string& name, const Find& find) {
        counts_by_name::value_type*& entry = entries_[place_of(name)];
        if (entry == nullptr || entry->first != name) {
            entry = &find();
        }
        return *entry;
    }

private:
    static constexpr std::size_t most = 256;

    /// Names of one file differ in their last characters if at all.
    static std::size_t place_of(const std::string& name) {
        std::size_t place = name.size();
        for (std::size_t i = name.size() - std::min<std::size_t>(name.size(), 3); i < name.size();
             ++i) {
            place = place * 10 + static_cast<unsigned char>(name[i]);
        }
        return place % most;
    }

    std::array<counts_by_name::value_type*, most> entries_{};
};

class tally {
public:
    using by_name = counts_by_name;

    /// Crews, and devices, counted by name; the sets of any beyond these are counted together.
    static constexpr std::size_t most_names = 10'000;
    static constexpr const char* other_crews = "(other crews)";
    static constexpr const char* other_devices = "(other devices)";

    /// A report and its readings, whose they are aside.
    void add_report(const care_report& report);
    /// So many sets of that report, by its crew and its device.
    void add_sets(const care_report& report, std::size_t count);
    /// The findings of one set, all at once.
    void add_findings(std::span<const finding> of_set);
    void add_finding(const batch_finding& of_column);
    /// Takes in what another one counted. Names that are new here are counted by name as long as
    /// there is room.
    void add(const tally& other);
    void clear() { *this = {}; }

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
    std::uint64_t clinical_part_of_batch = 0;  ///< of those, clinical notices
    by_name by_crew{};
    by_name by_device{};  ///< empty where no source names one

private:
    template <class Count>
    void count_by_name(const std::string& crew, const std::string& device, Count&& count);

    remembered_counts crews_{};
    remembered_counts devices_{};
};

}  // namespace vitalproof::audit
