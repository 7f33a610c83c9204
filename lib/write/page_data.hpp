// What the reviewer's page shows of findings and their reports, gathered while an audit runs.
// Used by the writer of audit.html. Promises bounded memory, since texts lie in a scratch file: the
// gravest 50,000 findings, fewer where their reports are very long; and of a report no more than
// its identifier, crew, times, vital signs, what decides whether they are true, and the usual band
// of its age.
#pragma once

#include "audit/scratch_file.hpp"
#include "write/gravity.hpp"
#include "write/page_part.hpp"
#include "write/text_block.hpp"

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace vitalproof::write {

/// How much of an audit a page shows.
struct page_bounds {
    std::size_t findings = 50'000;
    std::size_t bytes = std::size_t{96} << 20;  ///< of their text, and of their reports'
    std::size_t sets_of_report = 500;           ///< beside those that have findings
};

class page_data {
public:
    explicit page_data(page_bounds most = {});

    /// A part to be filled, which this must outlive.
    page_part new_part() const { return {most_.sets_of_report, too_light_}; }

    /// Parts come in the order of their reports; a report may go on in the next.
    void take(const page_part& part);

    /// Leaves the gravest, reports in the order they came.
    void finish();

    using place = audit::scratch_file::place;

    /// As small as they can be: there may be as many as findings.
    struct report_entry {
        std::uint64_t begin = 0;  ///< of its texts, which lie one behind the other
        std::uint32_t head_size = 0;
        std::uint32_t sets_size = 0;
        std::uint32_t crew_size = 0;

        place head() const { return {begin, head_size}; }  ///< members of its object, as JSON
        place sets() const { return {begin + head_size, sets_size}; }  ///< elements of an array
        place crew() const { return {begin + head_size + sets_size, crew_size}; }
        place all() const { return {begin, shown() + crew_size}; }
        std::size_t shown() const { return std::size_t{head_size} + sets_size; }
    };
    struct finding_entry {
        std::uint64_t begin = 0;  ///< of its text
        const batch_finding* part_of = nullptr;
        std::uint32_t size = 0;
        std::uint32_t report = 0;
        std::uint32_t gravity = 0;  ///< less is graver

        place text() const { return {begin, size}; }  ///< elements of an array
    };

    const std::vector<report_entry>& reports() const { return reports_; }
    /// The gravest first.
    const std::vector<finding_entry>& findings() const { return findings_; }
    /// Puts a text of theirs behind `out`.
    void append_to(std::string& out, place of) { texts_.append_to(out, of); }
    /// Whether texts are missing, since the scratch file could not be kept.
    bool failed() const { return texts_.failed(); }
    /// Findings that are not shown.
    std::uint64_t left_out() const { return seen_ - findings_.size(); }

private:
    using findings_of_report = std::span<const page_part::finding_entry>;

    /// The report that was taken last, which may go on.
    struct report_at_hand {
        bool is_kept = false;  ///< whether it has an entry, the last
        std::string crew{};
        std::string head{};
        text_block sets{};
        std::uint64_t first_line = 0;
        std::size_t set_count = 0;
        std::size_t last_set = 0;
    };

    void take(const page_part::report_entry& report, findings_of_report findings);
    void begin(const page_part::report_entry& report);
    bool goes_on(const page_part::report_entry& report, std::size_t set) const;
    void put_aside();
    void keep(const page_part::finding_entry& f);
    void drop_the_least();
    std::size_t count_what_fits();
    void drop_reports_without_findings();

    /// Findings, before the lightest are dropped.
    std::size_t most_held() const { return most_.findings + most_.findings / 5; }

    page_bounds most_;

    audit::scratch_file texts_;
    std::vector<report_entry> reports_;
    std::vector<finding_entry> findings_;
    std::size_t bytes_ = 0;
    std::uint64_t seen_ = 0;
    std::array<std::size_t, gravities> kept_by_gravity_{};
    gravity_bound too_light_;
    report_at_hand last_;
};

}  // namespace vitalproof::write
