#include "audit/piece.hpp"

namespace vitalproof::audit {

void piece::report(care_report& report, std::uint64_t /*first_line*/) {
    if (report_count_ == reports_.size()) {
        reports_.emplace_back();
    }
    sets_ += report.sets.size();
    sets_of_reports_.push_back(report.sets.size());
    swap(reports_[report_count_++], report);
}

void piece::unread(const read::unread_row& row) {
    unread_.push_back({std::string(row.file), row.line, std::string(row.column), row.text,
                       std::string(row.reason), std::string(row.remedy)});
}

void piece::tell_unread(observer& to) {
    for (const kept_row& row : unread_) {
        to.unread({.file = row.file,
                   .line = row.line,
                   .column = row.column,
                   .text = row.text,
                   .reason = row.reason,
                   .remedy = row.remedy});
    }
    unread_.clear();
}

void piece::clear() {
    report_count_ = 0;
    sets_ = 0;
    sets_of_reports_.clear();
    counts.clear();
    of_batch.clear();
}

}  // namespace vitalproof::audit
