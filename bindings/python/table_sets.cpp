// One row as a set: its readings, its time, and what is known.
#include "read/past_midnight.hpp"
#include "read/pressure_cell.hpp"
#include "read/row_reader.hpp"
#include "read/text.hpp"
#include "table.hpp"

#include <fmt/format.h>

namespace vitalproof::python {

namespace {

std::chrono::local_seconds local(std::int64_t seconds) {
    return std::chrono::local_seconds(std::chrono::seconds(seconds));
}

}  // namespace

template <VitalSign S>
void table::put(vital_set& set, std::size_t row, bool& palpated) const {
    const sign_input& input = signs_[index_of(S::info.id)];
    if (input.numbers) {
        const double value = (*input.numbers)[row];
        const double held = read::to_held(S::info.id, input.rules.unit, value);
        set[S{}] = reading<S>(value_of<S>::from_value(held), input.how);
        if (input.rules.unit != read::held_unit(S::info.id) && set[S{}].is_number()) {
            set.charted.put(S{}, read::value_in_unit(fmt::format("{}", value),
                                                     read::symbol_of(input.rules.unit)));
        }
    } else if (input.texts && !read::is_blank((*input.texts)[row])) {
        const read::cell_value cell = read::read_cell((*input.texts)[row], input.rules);
        read::put_cell(set, S{}, cell, input.how);
        palpated = palpated || cell.palpated;
    }
}

void table::fill(vital_set& set, std::size_t row, unusable_cells* complaints) const {
    set = blank_;
    set.line = row + 1;
    bool palpated = false;
    for_each_sign(all_signs{}, [&]<VitalSign S>(S) { put<S>(set, row, palpated); });
    if (pressures_ && !read::is_blank((*pressures_)[row])) {
        const auto cell = read::read_pressure_cell((*pressures_)[row], pressure_rules_);
        const reading<sign::mean_pressure> own = set.mean_pressure;
        const charted_text own_text = set.charted[sign::mean_pressure{}];
        read::put_pressure(set, cell, method::unknown);
        if (signs_[index_of(sign_id::mean_pressure)].carried) {
            set.mean_pressure = own;  // a column of its own outranks the cell's
            set.charted.put(sign::mean_pressure{}, own_text);
        }
        palpated = palpated || read::is_palpated(cell);
    }
    if (palpated) {
        read::note_palpated(set);
    }
    if (!times_.empty()) {
        set.taken_at = times_[row].as_set_time();
    }
    fill_context(set, row, complaints);
}

read::timestamp table::time_in(const time_input& column, std::size_t row) const {
    using read::time_kind;
    if (column.texts) {
        return read::read_timestamp((*column.texts)[row], {.order = options_.dates});
    }
    const std::int64_t seconds = column.seconds[row];
    if (seconds == row_place::no_time) {
        return {};
    }
    switch (column.kind) {
        case value_kind::days:
            return {time_kind::date_only, {.local = local(seconds)}};
        case value_kind::times_of_day:
            return {time_kind::clock_only, {.local = local(seconds)}};
        case value_kind::elapsed:
            return {time_kind::elapsed, {.local = local(seconds), .elapsed = true}};
        default:
            break;
    }
    set_time at{.local = local(seconds)};
    if (column.zone) {
        at = column.zone->at_instant(seconds);
    } else if (column.has_zone) {
        at.utc_offset = std::chrono::minutes(0);  // a zone that is not known is told in UTC
    }
    return {time_kind::clock, at};
}

table::row_time table::row_time::of(const set_time& at) {
    return {
        .local = at.local.time_since_epoch().count(),
        .utc_offset = at.utc_offset ? static_cast<std::int16_t>(at.utc_offset->count()) : no_offset,
        .elapsed = at.elapsed,
        .doubt = at.doubt,
        .assumed_offset = at.assumed_offset};
}

std::optional<set_time> table::row_time::as_set_time() const {
    if (local == row_place::no_time) {
        return std::nullopt;
    }
    set_time at{.local = python::local(local),
                .elapsed = elapsed,
                .doubt = doubt,
                .assumed_offset = assumed_offset};
    if (utc_offset != no_offset) {
        at.utc_offset = std::chrono::minutes(utc_offset);
    }
    return at;
}

std::optional<set_time> table::time_of(std::size_t row) {
    using read::time_kind;
    read::timestamp time = time_in(*time_, row);
    day_of_call_ =
        day_of_call_ && !read::has_own_date(time);  // of no use beside times that have one
    if (date_ && time.kind != time_kind::clock && !read::has_own_date(time)) {
        time = read::joined(time_in(*date_, row), time);
    }
    switch (time.kind) {
        case time_kind::clock:
            if (options_.zone && !time.time.utc_offset) {
                options_.zone->place(time.time);
            }
            return time.time;
        case time_kind::elapsed:
            return time.time;
        case time_kind::blank:
            break;
        case time_kind::date_only:
        case time_kind::clock_only:
            unusable_.without_date.add(row);
            break;
        case time_kind::undecided:
            unusable_.undecided.add(row);
            break;
        case time_kind::unreadable:
            unusable_.times.add(row);
            break;
    }
    return std::nullopt;
}

/// On one thread: a zone remembers where it was.
void table::read_times() {
    times_.resize(rows_);
    seconds_.resize(rows_, row_place::no_time);
    for (std::size_t row = 0; row < rows_; ++row) {
        if (const auto at = is_set(row) ? time_of(row) : std::nullopt) {
            times_[row] = row_time::of(*at);
            seconds_[row] = seconds_of(*at);
        }
    }
}

/// Times of day on the day of their call, report by report.
void table::place_past_midnight() {
    std::vector<std::chrono::local_seconds> times;
    for (std::size_t report = 0; report < reports_.size(); ++report) {
        const std::span rows = std::span(grouped_).subspan(
            report_begins_[report], report_begins_[report + 1] - report_begins_[report]);
        times.clear();
        for (const std::size_t row : rows) {
            times.push_back(python::local(times_[row].local));
        }
        const auto time_of = [&](std::size_t set) {
            const row_time& at = times_[rows[set]];
            return at.local == row_place::no_time || at.elapsed ? nullptr : &times[set];
        };
        if (!read::move_past_midnight(rows.size(), time_of)) {
            continue;
        }
        for (std::size_t set = 0; set < rows.size(); ++set) {
            if (time_of(set) == nullptr) {
                continue;
            }
            row_time& at = times_[rows[set]];
            at.local = times[set].time_since_epoch().count();
            if (options_.zone) {
                set_time placed{.local = times[set]};
                options_.zone->place(placed);
                at = row_time::of(placed);
            }
            seconds_[rows[set]] = seconds_of(*at.as_set_time());
        }
    }
}

void table::fill_context(vital_set& set, std::size_t row, unusable_cells* complaints) const {
    for (const context_input& column : context_) {
        const std::string_view text = text_in(&column, row);
        if (text.empty()) {
            continue;
        }
        if (!read::take_context(set, *column.as, text)) {
            note(complaints, &unusable_cells::words, row);
        }
    }
}

}  // namespace vitalproof::python
