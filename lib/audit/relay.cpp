#include "audit/relay.hpp"

#include <utility>

namespace vitalproof::audit {

void relay::report(care_report& report, std::uint64_t first_line) {
    piece& into = filling();
    if (into.report_count == into.reports.size()) {
        into.reports.emplace_back();
    }
    taken_report& kept = into.reports[into.report_count++];
    into.set_count += report.sets.size();
    swap(kept.report, report);
    kept.first_line = first_line;
    if (into.set_count >= sets_in_piece) {
        hand_over();
    }
}

void relay::unread(const read::unread_row& row) {
    piece& into = filling();
    into.unread.push_back({std::string(row.file), row.line, std::string(row.column), row.text,
                           std::string(row.reason), std::string(row.remedy)});
    if (into.unread.size() >= sets_in_piece) {
        hand_over();
    }
}

void relay::hand_over() { ring_.hand_over(filling().set_count); }

void relay::take(piece& next) {
    for (std::size_t i = 0; i < next.report_count; ++i) {
        to_.report(next.reports[i].report, next.reports[i].first_line);
    }
    for (const kept_row& row : next.unread) {
        to_.unread({.file = row.file,
                    .line = row.line,
                    .column = row.column,
                    .text = row.text,
                    .reason = row.reason,
                    .remedy = row.remedy});
    }
    next.report_count = 0;
    next.set_count = 0;
    next.unread.clear();
}

void relay::finish() {
    if (filling().report_count != 0 || !filling().unread.empty()) {
        hand_over();
    }
    ring_.finish();
}

}  // namespace vitalproof::audit
