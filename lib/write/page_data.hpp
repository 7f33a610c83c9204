// What the reviewer's page shows of findings and their reports, gathered while an audit runs.
// Used by the writer of audit.html. Promises bounded memory: the gravest 50,000 findings, fewer
// where their reports are very long; and of a report no more than its identifier, crew, times,
// vital signs, what decides whether they are true, and the usual band of its age.
#pragma once

#include <vitalproof/care_report.hpp>
#include <vitalproof/finding.hpp>
#include <vitalproof/fingerprint.hpp>
#include <vitalproof/message.hpp>

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::write {

/// How much of an audit a page shows.
struct page_bounds {
    std::size_t findings = 50'000;
    std::size_t bytes = std::size_t{26} << 20;  ///< of their text, and of their reports'
    std::size_t sets_of_report = 500;           ///< beside those that have findings
};

class page_data {
public:
    explicit page_data(const limits& in_force, page_bounds most = {})
        : words_(in_force), most_(most) {}

    void add(std::string_view file, std::span<const finding> of_set, const care_report& report);

    /// Leaves the gravest, reports in the order they came.
    void finish();

    struct report_entry {
        std::string crew{};
        std::string head{};  ///< members of its object, as JSON
        std::string sets{};  ///< elements of an array
    };
    struct finding_entry {
        std::size_t report = 0;
        unsigned gravity = 0;  ///< less is graver
        const batch_finding* part_of = nullptr;
        std::string text{};  ///< elements of an array
    };

    const std::vector<report_entry>& reports() const { return reports_; }
    /// The gravest first.
    const std::vector<finding_entry>& findings() const { return findings_; }
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

    void turn_to(std::string_view file, const care_report& report, std::size_t set);
    void show_set(const care_report& report, std::size_t set);
    void keep(const finding& f, unsigned gravity);
    void drop_the_least();
    std::size_t count_what_fits();
    void drop_reports_without_findings();

    message_writer words_;
    fingerprinter prints_;
    page_bounds most_;

    std::vector<report_entry> reports_;
    std::vector<finding_entry> findings_;
    std::size_t bytes_ = 0;
    std::uint64_t seen_ = 0;
    unsigned too_light_ = 100;  ///< from this gravity on nothing is kept any more

    identity at_{};
    bool begun_ = false;  ///< whether the report at hand has an entry
    std::size_t last_set_ = 0;
};

}  // namespace vitalproof::write
