// Some reports of a file on their way through an audit: read, counted, examined, told.
// Used by the audit, which works on several at once. Promises that what comes of a piece is its
// own, and buffers that are used again.
#pragma once

#include "audit/observer.hpp"
#include "audit/tally.hpp"
#include "audit/whole_batch.hpp"
#include "read/delimited.hpp"
#include "read/halved_reading.hpp"
#include <vitalproof/care_report.hpp>

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace vitalproof::audit {

class piece final : public read::sink {
public:
    static constexpr std::size_t enough_sets = 512;

    // As they are read.
    void report(care_report& report, std::uint64_t first_line) override;
    void unread(const read::unread_row& row) override;

    bool is_full() const { return sets_ >= enough_sets || has_many_unread(); }
    bool has_many_unread() const { return unread_.size() >= enough_sets; }
    bool is_empty() const { return report_count_ == 0 && unread_.empty(); }
    std::size_t sets() const { return sets_; }
    std::span<care_report> reports() { return {reports_.data(), report_count_}; }
    /// How many sets each had when it was read: once examined, they are given up.
    std::span<const std::size_t> sets_of_reports() const { return sets_of_reports_; }

    /// Tells of the rows that could not be read, and keeps them no longer.
    void tell_unread(observer& to);
    void clear();

    /// What its reports are yet to be made of, where the file's form is read in halves.
    std::unique_ptr<read::text_block> text{};

    // What its reports hold, and what was found in them.
    tally counts{};
    whole_batch::told of_batch{};
    std::unique_ptr<findings_part> told{};

private:
    /// An unread row that owns its texts.
    struct kept_row {
        std::string file;
        std::uint64_t line;
        std::string column;
        charted_text text;
        std::string reason;
        std::string remedy;
    };

    std::vector<care_report> reports_{};
    std::size_t report_count_ = 0;
    std::size_t sets_ = 0;
    std::vector<std::size_t> sets_of_reports_{};
    std::vector<kept_row> unread_{};
};

}  // namespace vitalproof::audit
