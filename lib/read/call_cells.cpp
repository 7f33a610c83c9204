#include "read/call_cells.hpp"

#include "read/context_words.hpp"

namespace vitalproof::read {

namespace {

call_record& call_of(care_report& report) {
    return report.call ? *report.call : report.call.emplace();
}

}  // namespace

void take_complaint(care_report& report, std::string_view text) {
    const told_complaint told = read_complaint(text);
    report.known = report.known.overlaid_by(told.known);
    call_of(report).complaints |= told.complaints;
}

bool take_disposition(care_report& report, std::string_view text) {
    if (report.call && report.call->ended != disposition::unknown) {
        return true;
    }
    const auto ended = read_disposition(text);
    if (ended) {
        call_of(report).ended = *ended;
    }
    return ended.has_value();
}

bool take_call_time(care_report& report, call_time which, timestamp at,
                    std::optional<time_zone>& zone) {
    auto& known = call_of(report).times[static_cast<std::size_t>(which)];
    if (known) {
        return true;
    }
    if (at.kind != time_kind::clock) {
        return false;
    }
    known = at.time;
    if (zone && !known->utc_offset) {
        zone->place(*known);
    }
    return true;
}

}  // namespace vitalproof::read
