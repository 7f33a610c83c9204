#include "table.hpp"

#include "parallel.hpp"
#include "read/context_words.hpp"
#include "read/number.hpp"
#include "read/pressure_cell.hpp"
#include "read/report_gatherer.hpp"
#include "read/row_reader.hpp"
#include "read/text.hpp"
#include "read/unit_columns.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>

namespace vitalproof::python {

namespace {

constexpr double no_number = std::numeric_limits<double>::quiet_NaN();
/// Rows from which is judged whether a column is in another unit, as many as a file's look.
constexpr std::size_t rows_looked_at = std::size_t{1} << 16;

[[noreturn]] void refuse(const read::column& as, const std::string& why) {
    throw std::invalid_argument("column \"" + as.header + "\" " + why);
}

void note(unusable_cells* complaints, read::tally_of_lines unusable_cells::*which,
          std::size_t row) {
    if (complaints != nullptr) {
        (complaints->*which).add(row);
    }
}

bool is_clock(value_kind kind) {
    return kind == value_kind::instants || kind == value_kind::days ||
           kind == value_kind::times_of_day || kind == value_kind::elapsed;
}

std::chrono::local_seconds local(std::int64_t seconds) {
    return std::chrono::local_seconds(std::chrono::seconds(seconds));
}

}  // namespace

table::table(read::understanding columns, std::size_t rows,
             std::map<std::size_t, source_column> held, const table_options& options)
    : columns_(std::move(columns)), rows_(rows), options_(options), held_(std::move(held)) {
    load();
    find_sets();
    if (has_reports()) {
        group_reports();
    } else {
        for (std::size_t row = 0; row < rows_; ++row) {
            if (is_set(row)) {
                grouped_.push_back(row);
            }
        }
    }
    derive();
    if (has_reports()) {
        order_rows();
    }
}

void table::load() {
    for (read::column& as : columns_.columns) {
        const auto found = held_.find(as.index);
        if (as.role == read::column_role::ignored || found == held_.end()) {
            continue;
        }
        const source_column& from = found->second;
        if (from.rows() != rows_) {
            refuse(as, fmt::format("has {} rows, the others {}", from.rows(), rows_));
        }
        switch (as.role) {
            case read::column_role::sign:
                load_sign(as, from);
                settle_unit(as);
                break;
            case read::column_role::pressures:
                if (from.kind() != value_kind::texts) {
                    refuse(as, "is to hold whole pressures such as \"120/80\", and holds none");
                }
                pressures_ = from.texts();
                pressure_rules_ = {.unit = as.unit, .unit_stated = as.unit_stated};
                blank_.systolic = reading<sign::systolic>::absent(absence::blank);
                blank_.diastolic = reading<sign::diastolic>::absent(absence::blank);
                break;
            case read::column_role::time:
                load_time(time_.emplace(), as, from);
                break;
            case read::column_role::date:
                load_time(date_.emplace(), as, from);
                break;
            case read::column_role::known_fact:
            case read::column_role::source:
            case read::column_role::pressure_method:
            case read::column_role::pulse_method:
                if (is_clock(from.kind())) {
                    refuse(as, "holds times, and no yes or no or other word");
                }
                context_.push_back({&as, from.texts()});
                break;
            default:
                if (is_clock(from.kind())) {
                    refuse(as, "holds times, and no names or numbers");
                }
                of_report_.push_back({&as, from.texts()});
                break;
        }
    }
    for (const context_input& column : of_report_) {
        const context_input** const places[] = {&report_,   &crew_,      &age_,        &device_,
                                                &incident_, &complaint_, &disposition_};
        constexpr read::column_role roles[] = {
            read::column_role::report,     read::column_role::crew,
            read::column_role::age,        read::column_role::device,
            read::column_role::incident,   read::column_role::complaint,
            read::column_role::disposition};
        for (std::size_t i = 0; i < std::size(roles); ++i) {
            if (column.as->role == roles[i]) {
                *places[i] = &column;
            }
        }
    }
}

void table::load_sign(const read::column& as, const source_column& from) {
    sign_input& into = signs_[index_of(as.sign)];
    into.carried = true;
    into.how = as.how;
    into.rules = {.sign = as.sign, .unit = as.unit, .unit_stated = as.unit_stated};
    if (from.kind() == value_kind::texts) {
        into.texts = from.texts();
    } else if (from.kind() != value_kind::numbers) {
        refuse(as, "holds times, and no " + std::string(describe(as.sign).label));
    } else if (as.sign == sign_id::responsiveness) {
        refuse(as,
               "holds numbers: give A, V, P, U or the words, since scales of responsiveness run "
               "both ways");
    } else {
        into.numbers = from.numbers();
    }
    for_each_sign(all_signs{}, [&]<VitalSign S>(S sign) {
        if (S::info.id == as.sign) {
            blank_[sign] = reading<S>::absent(absence::blank);
        }
    });
}

/// As a file's column is settled: read in another unit where none is stated, doubted where one is.
void table::settle_unit(read::column& as) {
    const auto other = read::other_unit_of(as.sign, as.unit);
    const sign_input& input = signs_[index_of(as.sign)];
    if (!other || !options_.judge_units) {
        return;
    }
    checks::unit_column::counts counts;
    for (std::size_t row = 0; row < std::min(rows_, rows_looked_at); ++row) {
        const auto number = input.numbers ? std::optional((*input.numbers)[row])
                                          : read::parse_number(read::trimmed((*input.texts)[row]));
        if (number && std::isfinite(*number)) {
            const double held = read::to_held(as.sign, as.unit, *number);
            counts.add(other->fits(as.sign, as.unit, to_real(held)));
        }
    }
    if (!checks::unit_column::fires(counts)) {
        return;
    }
    if (as.unit_stated) {
        as.doubt = {other->unit, counts};
        return;
    }
    read::add_phrase(as.remark,
                     fmt::format("{} of the first {} values can hardly be anything but {}: read "
                                 "so, since no unit is stated",
                                 counts.fitting, counts.numbers, read::symbol_of(other->unit)));
    as.unit = other->unit;
    signs_[index_of(as.sign)].rules.unit = other->unit;
}

void table::load_time(time_input& into, const read::column& as, const source_column& from) const {
    into.kind = from.kind();
    if (into.kind == value_kind::texts) {
        into.texts = from.texts();
        return;
    }
    if (into.kind == value_kind::numbers) {
        refuse(as,
               "holds numbers, and their unit and start are not known: give times "
               "(datetime64, timestamp) or stretches of time (timedelta64, duration)");
    }
    into.seconds = from.seconds();
    into.has_zone = !from.zone().empty();
    if (into.has_zone) {
        into.zone = read::find_time_zone(from.zone()).zone;
    }
}

void table::find_sets() {
    is_set_.assign(rows_, 0);
    share_out_rows(rows_, options_.threads, [this](std::size_t begin, std::size_t end) {
        for (const sign_input& input : signs_) {
            for (std::size_t row = begin; row < end && input.numbers; ++row) {
                const double value = (*input.numbers)[row];
                is_set_[row] |= static_cast<char>(value == value);
            }
            for (std::size_t row = begin; row < end && input.texts; ++row) {
                is_set_[row] |= static_cast<char>(!read::is_blank((*input.texts)[row]));
            }
        }
        for (std::size_t row = begin; row < end && pressures_; ++row) {
            is_set_[row] |= static_cast<char>(!read::is_blank((*pressures_)[row]));
        }
    });
}

std::string_view table::text_in(const context_input* column, std::size_t row) const {
    return column == nullptr ? std::string_view() : read::trimmed(column->texts[row]);
}

/// By the rules of a file: each from the first row of the report that has it.
void table::take_report_cells(care_report& report, std::size_t row,
                              unusable_cells* complaints) const {
    const auto fill_name = [&](std::string& name, const context_input* column) {
        if (name.empty()) {
            name.assign(text_in(column, row));
        }
    };
    fill_name(report.crew, crew_);
    fill_name(report.device, device_);
    fill_name(report.incident, incident_);
    if (read::tells_of_exposure(text_in(complaint_, row))) {
        report.known.state(fact::exposure, true);
    }
    if (const auto text = text_in(disposition_, row); !text.empty() && !report.call) {
        if (const auto ended = read::read_disposition(text)) {
            report.call.emplace().ended = *ended;
        } else {
            note(complaints, &unusable_cells::words, row);
        }
    }
    if (const auto text = text_in(age_, row); !text.empty() && !report.age) {
        report.age = read::read_age(text, age_->as->age_in);
        if (!report.age) {
            note(complaints, &unusable_cells::ages, row);
        }
    }
}

void table::group_reports() {
    std::unordered_map<std::string, std::size_t> latest;
    report_of_.assign(rows_, 0);
    care_report run;
    std::size_t begin = 0;
    for (std::size_t row = 0; row < rows_; ++row) {
        const std::string_view id = text_in(report_, row);
        if (row != 0 && (id.empty() || id != run.id)) {
            close_run(run, begin, row, latest);
            run = {};
            begin = row;
        }
        run.id.assign(id);
        take_report_cells(run, row, &unusable_);
        if (id.empty() && is_set(row)) {
            note(&unusable_, &unusable_cells::reports, row);
        }
    }
    if (rows_ != 0) {
        close_run(run, begin, rows_, latest);
    }
    std::vector<std::size_t> sizes(reports_.size() + 1);
    for (std::size_t row = 0; row < rows_; ++row) {
        sizes[report_of_[row] + 1] += is_set(row) ? 1U : 0U;
    }
    report_begins_ = sizes;
    std::partial_sum(sizes.begin(), sizes.end(), report_begins_.begin());
    std::vector<std::size_t> next = report_begins_;
    grouped_.resize(report_begins_.back());
    for (std::size_t row = 0; row < rows_; ++row) {
        if (is_set(row)) {
            grouped_[next[report_of_[row]]++] = row;
        }
    }
}

void table::close_run(care_report& run, std::size_t begin, std::size_t end,
                      std::unordered_map<std::string, std::size_t>& latest) {
    const bool any = std::any_of(is_set_.begin() + static_cast<std::ptrdiff_t>(begin),
                                 is_set_.begin() + static_cast<std::ptrdiff_t>(end),
                                 [](char set) { return set != 0; });
    if (!any) {
        return;
    }
    std::size_t number = reports_.size();
    const auto earlier = latest.find(run.id);
    if (!run.id.empty() && earlier != latest.end() &&
        read::could_be_one(reports_[earlier->second], run)) {
        number = earlier->second;
        read::fill_gaps(reports_[number], run);
    } else {
        if (!run.id.empty()) {
            latest[run.id] = number;
        }
        reports_.push_back(run);
    }
    std::fill(report_of_.begin() + static_cast<std::ptrdiff_t>(begin),
              report_of_.begin() + static_cast<std::ptrdiff_t>(end), number);
}

/// As the examiner puts the sets of a report: by time where all have one, else as they come.
void table::order_rows() {
    order_ = grouped_;
    for (std::size_t report = 0; report < reports_.size() && time_; ++report) {
        const auto begin = order_.begin() + static_cast<std::ptrdiff_t>(report_begins_[report]);
        const auto end = order_.begin() + static_cast<std::ptrdiff_t>(report_begins_[report + 1]);
        const auto at = [this](std::size_t row) { return seconds_[row]; };
        if (std::all_of(begin, end,
                        [&](std::size_t row) { return at(row) != row_place::no_time; })) {
            std::stable_sort(begin, end,
                             [&](std::size_t a, std::size_t b) { return at(a) < at(b); });
        }
    }
    const bool as_they_stand = order_.size() == rows_ && std::ranges::is_sorted(order_);
    if (as_they_stand) {
        order_.clear();
    }
}

bool table::has_context() const {
    const bool texts = std::ranges::any_of(
        signs_, [](const sign_input& input) { return input.texts.has_value(); });
    return texts || pressures_ || !context_.empty() || complaint_ != nullptr;
}

/// What the column path needs beside plain numbers: times, ages, facts, and the columns of signs
/// whose cells are texts, or change with what another cell says.
void table::derive() {
    std::uint32_t signs = 0;
    const auto needs = [&signs](sign_id sign) { signs |= 1U << index_of(sign); };
    for (std::size_t i = 0; i < sign_count; ++i) {
        const sign_input& input = signs_[i];
        if (input.texts || (input.carried && i == index_of(sign_id::exhaled_co2) &&
                            input.rules.unit == read::charted_unit::percent)) {
            needs(static_cast<sign_id>(i));
        }
    }
    if (pressures_) {
        needs(sign_id::systolic);
        needs(sign_id::diastolic);
        needs(sign_id::mean_pressure);
    }
    for (const context_input& column : context_) {
        if (column.as->role == read::column_role::pulse_method) {
            needs(sign_id::pulse);
            needs(sign_id::ecg_rate);
        }
    }
    for (std::size_t i = 0; i < sign_count; ++i) {
        if ((signs >> i & 1U) != 0) {
            derived_[i] = {std::vector<double>(rows_, no_number), std::vector<reading_state>(rows_),
                           std::vector<absence>(rows_)};
        }
    }
    if (has_context()) {
        known_.resize(rows_);
    }
    ages_.resize(age_ != nullptr ? rows_ : 0, no_number);
    if (time_) {
        read_times();
    }
    const bool look_at_rows = signs != 0 || has_context() || age_ != nullptr;
    // On one thread: cells that cannot be used are counted.
    for (std::size_t row = 0; row < rows_ && look_at_rows; ++row) {
        if (!is_set(row)) {
            continue;
        }
        care_report alone;
        if (!has_reports()) {
            take_report_cells(alone, row, &unusable_);
        }
        const care_report& report = has_reports() ? reports_[report_of_[row]] : alone;
        vital_set set;
        fill(set, row, &unusable_);
        if (!ages_.empty() && report.age) {
            ages_[row] = report.age->count();
        }
        if (!known_.empty()) {
            known_[row] = report.known.overlaid_by(facts_of_methods(set).overlaid_by(set.known));
        }
        for_each_sign(all_signs{}, [&]<VitalSign S>(S sign) {
            if (auto& column = derived_[index_of(S::info.id)]) {
                column->values[row] = set[sign].raw();
                column->states[row] = set[sign].state();
                column->reasons[row] = set[sign].why_absent();
            }
        });
    }
}

template <VitalSign S>
void table::put(vital_set& set, std::size_t row, bool& palpated) const {
    const sign_input& input = signs_[index_of(S::info.id)];
    if (input.numbers) {
        const double value = (*input.numbers)[row];
        const double held = read::to_held(S::info.id, input.rules.unit, value);
        set[S{}] = reading<S>(value_of<S>::from_value(held), input.how);
        if (input.rules.unit != read::held_unit(S::info.id) && set[S{}].is_number()) {
            set[S{}].set_charted(
                read::value_in_unit(fmt::format("{}", value), read::symbol_of(input.rules.unit)));
        }
    } else if (input.texts && !read::is_blank((*input.texts)[row])) {
        const read::cell_value cell = read::read_cell((*input.texts)[row], input.rules);
        set[S{}] = read::to_reading<S>(cell, input.how);
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
        read::put_pressure(set, cell, method::unknown);
        if (signs_[index_of(sign_id::mean_pressure)].carried) {
            set.mean_pressure = own;  // a column of its own outranks the cell's
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

std::optional<set_time> table::row_time::as_set_time() const {
    if (local == row_place::no_time) {
        return std::nullopt;
    }
    set_time at{.local = python::local(local), .elapsed = elapsed};
    if (utc_offset != no_offset) {
        at.utc_offset = std::chrono::minutes(utc_offset);
    }
    return at;
}

std::optional<set_time> table::time_of(std::size_t row) {
    using read::time_kind;
    read::timestamp time = time_in(*time_, row);
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
            times_[row].local = at->local.time_since_epoch().count();
            times_[row].elapsed = at->elapsed;
            if (at->utc_offset) {
                times_[row].utc_offset = static_cast<std::int16_t>(at->utc_offset->count());
            }
            seconds_[row] = seconds_of(*at);
        }
    }
}

void table::fill_context(vital_set& set, std::size_t row, unusable_cells* complaints) const {
    for (const context_input& column : context_) {
        const std::string_view text = text_in(&column, row);
        if (text.empty()) {
            continue;
        }
        const auto use = [&](auto meaning, auto&& apply) {
            if (meaning) {
                apply(*meaning);
            } else {
                note(complaints, &unusable_cells::words, row);
            }
        };
        switch (column.as->role) {
            case read::column_role::known_fact:
                use(read::read_yes_no(text),
                    [&](bool is) { set.known.state(column.as->known, is); });
                break;
            case read::column_role::source:
                use(read::read_captured(text),
                    [&](bool is) { set.known.state(fact::captured, is); });
                break;
            case read::column_role::pressure_method:
                use(read::read_pressure_method(text),
                    [&](method how) { read::set_pressure_method(set, how); });
                break;
            default:
                use(read::read_pulse_method(text),
                    [&](method how) { read::set_pulse_method(set, how); });
                break;
        }
    }
}

std::size_t table::report_count() const {
    return has_reports() ? reports_.size() : grouped_.size();
}

void table::fill_report(care_report& report, std::size_t number) const {
    std::size_t begin = number;
    std::size_t end = number + 1;
    report = {};
    if (has_reports()) {
        report = reports_[number];
        begin = report_begins_[number];
        end = report_begins_[number + 1];
    } else {
        report.id = "row " + std::to_string(grouped_[number]);
        take_report_cells(report, grouped_[number], nullptr);
    }
    report.sets.resize(end - begin);
    for (std::size_t i = begin; i < end; ++i) {
        fill(report.sets[i - begin], grouped_[i], nullptr);
    }
}

std::vector<std::string> table::copied() const {
    std::vector<std::string> headers;
    for (const read::column& as : columns_.columns) {
        if (as.role == read::column_role::sign) {
            const sign_input& input = signs_[index_of(as.sign)];
            if (derived_[index_of(as.sign)] || (input.numbers && input.numbers->is_copy())) {
                headers.push_back(as.header);
            }
        }
    }
    return headers;
}

strided_values table::views::in_order(strided_values values) {
    if (order_->empty()) {
        return values;
    }
    std::vector<double>& copy = numbers_.emplace_back();
    copy.reserve(order_->size());
    for (const std::size_t row : *order_) {
        copy.push_back(values[row]);
    }
    return copy;
}

template <class T>
std::span<const T> table::views::in_order(const std::vector<T>& values) {
    if (order_->empty()) {
        return values;
    }
    auto copy = std::make_shared<std::vector<T>>();
    copy->reserve(order_->size());
    for (const std::size_t row : *order_) {
        copy->push_back(values[row]);
    }
    others_.push_back(copy);
    return *copy;
}

template <VitalSign S>
void table::views::add_numbers(strided_values values, read::charted_unit unit) {
    using U = typename S::unit;
    if (unit == read::held_unit(S::info.id)) {
        columns_.add<S>(values, U{});
        return;
    }
    if constexpr (std::same_as<U, units::mmhg>) {
        columns_.add<S>(values, kPa);
    } else if constexpr (std::same_as<U, units::percent>) {
        columns_.add<S>(values, fraction);
    } else if constexpr (std::same_as<U, units::mg_per_dl>) {
        columns_.add<S>(values, mmol_per_L);
    } else if constexpr (std::same_as<U, units::celsius>) {
        columns_.add<S>(values, degF);
    }
}

template <VitalSign S>
void table::views::add_sign(const table& of) {
    const std::size_t at = index_of(S::info.id);
    const sign_input& input = of.signs_[at];
    if (const auto& derived = of.derived_[at]) {
        columns_.add<S>(in_order(strided_values(derived->values)), typename S::unit{},
                        in_order(derived->states), in_order(derived->reasons));
    } else if (input.numbers) {
        add_numbers<S>(in_order(input.numbers->values()), input.rules.unit);
    }
}

table::views::views(const table& of)
    : order_(&of.order_), columns_(of.order_.empty() ? of.rows_ : of.order_.size()) {
    numbers_.reserve(sign_count + 1);
    for_each_sign(all_signs{}, [&]<VitalSign S>(S) { add_sign<S>(of); });
    if (!of.known_.empty()) {
        columns_.add_known(in_order(of.known_));
    }
    if (!of.ages_.empty()) {
        columns_.add_ages(in_order(strided_values(of.ages_)));
    }
    if (of.has_reports()) {
        columns_.add_reports(in_order(of.report_of_));
        if (!of.seconds_.empty()) {
            columns_.add_times(in_order(of.seconds_));
        }
    }
}

}  // namespace vitalproof::python
