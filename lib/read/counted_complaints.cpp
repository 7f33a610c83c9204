#include "read/counted_complaints.hpp"

#include "read/text.hpp"

#include <algorithm>

namespace vitalproof::read {

bool counted_complaints::was_said(const column& where) {
    if (!grouped_) {
        return false;
    }
    const bool said = std::ranges::find(said_, where.index) != said_.end();
    if (!said) {
        said_.push_back(where.index);
    }
    return said;
}

void counted_complaints::time(std::uint64_t line, const column& where, std::string_view text,
                              time_kind kind) {
    if (was_said(where)) {
        return;
    }
    const auto say = [&](tally_of_lines& tally, note_kind note) {
        tally.add(line);
        to_.note({note, line, where.header, charted_text(trimmed(text))});
    };
    switch (kind) {
        case time_kind::date_only:
            return say(outcome_.dates_without_time, note_kind::date_without_time);
        case time_kind::clock_only:
            return say(outcome_.times_without_date, note_kind::time_without_date);
        case time_kind::undecided:
            return say(outcome_.undecided_dates, note_kind::undecided_date);
        default:
            return say(outcome_.unreadable_times, note_kind::unreadable_time);
    }
}

void counted_complaints::unplaced(std::uint64_t line, const column& where, std::string_view text) {
    if (was_said(where)) {
        return;
    }
    outcome_.unplaced_times.add(line);
    to_.note({note_kind::unplaced_time, line, where.header, charted_text(trimmed(text))});
}

void counted_complaints::context(std::uint64_t line, const column& where, std::string_view text) {
    if (was_said(where)) {
        return;
    }
    outcome_.unreadable_context.add(line);
    to_.note({note_kind::unreadable_context, line, where.header, charted_text(text)});
}

void counted_complaints::age(std::uint64_t line, const column& where, std::string_view text) {
    outcome_.unreadable_ages.add(line);
    to_.note({note_kind::unreadable_age, line, where.header, charted_text(text)});
}

}  // namespace vitalproof::read
