#include "read/report_cells.hpp"

#include "read/absence_words.hpp"
#include "read/call_cells.hpp"
#include "read/context_words.hpp"
#include "read/timestamp.hpp"

namespace vitalproof::read {

report_cells::report_cells(const understanding& columns, std::optional<time_zone>& zone,
                           counted_complaints& complaints)
    : columns_(columns),
      zone_(zone),
      complaints_(complaints),
      crew_(columns.find(column_role::crew)),
      age_(columns.find(column_role::age)),
      age_unit_(columns.find(column_role::age_unit)),
      disposition_(columns.find(column_role::disposition)),
      device_(columns.find(column_role::device)),
      incident_(columns.find(column_role::incident)),
      complaint_(columns.find(column_role::complaint)) {
    for (std::size_t which = 0; which < call_time_count; ++which) {
        const auto moment = static_cast<call_time>(which);
        if (const column* where = columns.find(role_of(moment))) {
            call_times_.push_back({where, moment});
        }
    }
    says_more_ = disposition_ != nullptr || device_ != nullptr || incident_ != nullptr ||
                 complaint_ != nullptr || !call_times_.empty();
}

void report_cells::take_age(care_report& report, std::span<const std::string_view> cells,
                            std::uint64_t line) {
    const std::string_view text = trimmed(cells[age_->index]);
    if (says_nothing(text)) {
        return;
    }
    report.age = read_age(
        text, age_unit_ == nullptr ? age_->age_in : read_age_unit(cells[age_unit_->index]));
    if (!report.age) {
        complaints_.age(line, *age_, text);
    }
}

void report_cells::take_more(care_report& report, std::span<const std::string_view> cells,
                             std::uint64_t line) {
    const auto text_in = [cells](const column* where) {
        return where == nullptr ? std::string_view() : trimmed(cells[where->index]);
    };
    if (report.device.empty()) {
        report.device.assign(text_in(device_));
    }
    if (report.incident.empty()) {
        report.incident.assign(text_in(incident_));
    }
    if (const std::string_view text = text_in(complaint_); !text.empty()) {
        take_complaint(report, text);
    }
    if (const std::string_view text = text_in(disposition_);
        !take_disposition(report, text) && !says_nothing(text)) {
        complaints_.context(line, *disposition_, text);
    }
    const column* dates = columns_.date_of_times();
    const column* sets = dates != nullptr ? dates : columns_.find(column_role::time);
    for (const call_column& moment : call_times_) {
        const std::string_view text = text_in(moment.where);
        // Written as the times of the sets are.
        const timestamp at = read_timestamp(text, sets == nullptr ? time_rules{} : sets->written);
        if (at.kind != time_kind::blank && !take_call_time(report, moment.which, at, zone_)) {
            complaints_.time(line, *moment.where, text, at.kind);
        }
    }
}

}  // namespace vitalproof::read
