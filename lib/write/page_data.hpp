// What the reviewer's page shows of findings and their reports, gathered while an audit runs.
// Used by the writer of audit.html. Promises bounded memory, since texts lie in a scratch file: the
// gravest 50,000 findings, fewer where their reports are very long; and of a report no more than
// its identifier, crew, times, vital signs, what decides whether they are true, and the usual band
// of its age.
#pragma once

#include "audit/scratch_file.hpp"
#include "write/text_block.hpp"
#include "write/worded.hpp"
#include <vitalproof/care_report.hpp>
#include <vitalproof/finding.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
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
    explicit page_data(page_bounds most = {}) : most_(most) {}

    /// A finding of a report that was read from `file`.
    void add(std::string_view file, const finding& f, const worded& in_words,
             const care_report& report);

    /// Leaves the gravest, reports in the order they came.
    void finish();

    static constexpr std::size_t gravities = 13;

    using place = audit::scratch_file::place;

    struct report_entry {
        std::string crew{};
        place head{};  ///< members of its object, as JSON
        place sets{};  ///< elements of an array; right behind the head
        std::size_t bytes = 0;
    };
    struct finding_entry {
        std::size_t report = 0;
        unsigned gravity = 0;  ///< less is graver
        const batch_finding* part_of = nullptr;
        place text{};  ///< elements of an array
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
    /// What tells a report from the one before it.
    struct identity {
        std::string id{};
        std::string crew{};
        std::string file{};
        std::uint64_t first_line = 0;
        std::size_t sets = 0;

        friend bool operator==(const identity&, const identity&) = default;
    };

    void begin(identity of, const care_report& report);
    void put_aside();
    void turn_to(std::string_view file, const care_report& report, std::size_t set);
    void show_set(const care_report& report, std::size_t set);
    void count(std::size_t bytes);
    void keep(const finding& f, const worded& in_words, unsigned gravity);
    void drop_the_least();
    std::size_t count_what_fits();
    void drop_reports_without_findings();

    page_bounds most_;

    audit::scratch_file texts_;
    std::vector<report_entry> reports_;
    std::vector<finding_entry> findings_;
    std::size_t bytes_ = 0;
    std::uint64_t seen_ = 0;
    std::array<std::size_t, gravities> kept_by_gravity_{};
    /// From this gravity on nothing is kept any more: the bounds are full of what is as grave.
    unsigned too_light_ = gravities;

    // The report at hand, which may have more findings to come.
    identity at_{};
    bool begun_ = false;  ///< whether it has an entry, the last
    std::size_t last_set_ = 0;
    text_block head_;
    text_block sets_;

    text_block text_;  // of the finding at hand
};

}  // namespace vitalproof::write
