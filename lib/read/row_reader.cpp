#include "read/row_reader.hpp"

#include "read/absence_words.hpp"
#include "read/context_words.hpp"
#include "read/nemsis_codes.hpp"
#include "read/number.hpp"
#include "read/pressure_cell.hpp"
#include "read/responsiveness_words.hpp"
#include "read/text.hpp"
#include "read/timestamp.hpp"

namespace vitalproof::read {

void set_pressure_method(vital_set& set, method how) {
    if (how == method::palpated) {
        note_palpated(set);
        return;
    }
    if (set.systolic.how() == method::palpated) {
        return;  // a diastolic charted as P says so more closely
    }
    set.systolic.set_method(how);
    set.diastolic.set_method(how);
    set.mean_pressure.set_method(how);
}

void set_pulse_method(vital_set& set, method how) {
    set.pulse.set_method(how);
    if (how != method::by_ecg || set.ecg_rate.state() != reading_state::absent) {
        return;
    }
    take_pulse_as_ecg_rate(set);
}

bool take_context(vital_set& set, const column& context, std::string_view text) {
    const auto use = [text](auto meaning, auto&& apply) {
        if (meaning) {
            apply(*meaning);
        }
        return meaning || says_nothing(text);
    };
    switch (context.role) {
        case column_role::known_fact:
            return use(read_yes_no(text), [&](bool is) { set.known.state(context.known, is); });
        case column_role::source:
            return use(read_captured(text), [&](bool is) { set.known.state(fact::captured, is); });
        case column_role::pressure_method:
            return use(read_pressure_method(text),
                       [&](method how) { set_pressure_method(set, how); });
        case column_role::pulse_method:
            return use(read_pulse_method(text), [&](method how) { set_pulse_method(set, how); });
        case column_role::rhythm:
            set.known = set.known.overlaid_by(read_rhythm(text));
            return true;
        case column_role::breathing_effort:
            set.known = set.known.overlaid_by(read_breathing_effort(text));
            return true;
        default:
            return true;
    }
}

row_reader::row_reader(const understanding& columns, const co2_percent_basis& co2,
                       cell_complaints& complaints, time_zone* zone)
    : pressures_(columns.find(column_role::pressures)),
      time_(columns.find(column_role::time)),
      date_(columns.date_of_times()),
      zone_(zone),
      complaints_(complaints) {
    for_each_sign(all_signs{}, [&]<VitalSign S>(S sign) {
        const column* from = columns.find(S::info.id);
        if (from == nullptr) {
            return;
        }
        blank_[sign] = reading<S>::absent(absence::blank);
        signs_[index_of(S::info.id)] = {
            .index = static_cast<std::uint32_t>(from->index),
            .carried = true,
            .plain = from->unit == held_unit(S::info.id) && S::info.id != sign_id::responsiveness,
            .how = from->how};
        rules_[index_of(S::info.id)] = {.sign = S::info.id,
                                        .unit = from->unit,
                                        .unit_stated = from->unit_stated,
                                        .co2 = co2,
                                        .decimal_comma = columns.decimal_comma};
    });
    if (pressures_ != nullptr) {
        blank_.systolic = reading<sign::systolic>::absent(absence::blank);
        blank_.diastolic = reading<sign::diastolic>::absent(absence::blank);
        pressure_rules_ = {.unit = pressures_->unit,
                           .unit_stated = pressures_->unit_stated,
                           .decimal_comma = columns.decimal_comma};
    }
    for (const column& c : columns.columns) {
        const bool is_method =
            c.role == column_role::pressure_method || c.role == column_role::pulse_method;
        // In the long form a method is of its row's reading alone, and not for the set.
        if (c.role == column_role::known_fact || c.role == column_role::source ||
            c.role == column_role::rhythm || c.role == column_role::breathing_effort ||
            (is_method && !columns.long_form())) {
            context_.push_back(&c);
        }
    }
}

// One sign. Written out for each of them: a loop over signs would call through a pointer a cell.
// Few digits and nothing else, as most cells hold, are read in line.
template <VitalSign S>
[[gnu::always_inline]] inline bool row_reader::put(vital_set& set,
                                                   std::span<const std::string_view> cells,
                                                   bool& palpated) const {
    const sign_step& step = signs_[index_of(S::info.id)];
    if (!step.plain) [[unlikely]] {
        return put_no_plain<S>(set, cells, palpated);
    }
    const std::string_view text = cells[step.index];
    double value;
    if (parse_few_digits(text, value)) [[likely]] {
        set[S{}].become(value_of<S>::from_value(value), step.how);
        return true;
    }
    return !text.empty() && put_longer<S>(set, text, palpated);
}

// A sign without a column, a level, or a number that does not stand as it is.
template <VitalSign S>
[[gnu::always_inline]] inline bool row_reader::put_no_plain(vital_set& set,
                                                            std::span<const std::string_view> cells,
                                                            bool& palpated) const {
    const sign_step& step = signs_[index_of(S::info.id)];
    if (!step.carried) {
        return S::info.id == sign_id::systolic && pressures_ != nullptr &&
               put_pressures(set, cells[pressures_->index], palpated);
    }
    const std::string_view text = cells[step.index];
    if constexpr (S::info.id == sign_id::responsiveness) {
        if (const auto level = text.size() == 1 ? level_of_letter(text[0]) : std::nullopt) {
            set[S{}].become(value_of<S>::from_value(static_cast<double>(*level)), method::unknown);
            return true;
        }
    }
    return !text.empty() && put_other<S>(set, text, palpated);
}

template <VitalSign S>
[[gnu::noinline]] bool row_reader::put_longer(vital_set& set, std::string_view text,
                                              bool& palpated) const {
    double value;
    // A text as long as the national standard's codes may be that of no value.
    if (text.size() != nemsis::code_size && parse_short_decimal(text, value)) {
        set[S{}].become(value_of<S>::from_value(value), signs_[index_of(S::info.id)].how);
        return true;
    }
    return put_other<S>(set, text, palpated);
}

template <VitalSign S>
[[gnu::noinline]] bool row_reader::put_other(vital_set& set, std::string_view text,
                                             bool& palpated) const {
    if (is_blank(text)) {
        return false;
    }
    const cell_value cell = read_cell(text, rules_[index_of(S::info.id)]);
    put_cell(set, S{}, cell, signs_[index_of(S::info.id)].how);
    palpated |= cell.palpated;
    return true;
}

// Stands in for the systolic, which comes first: a mean in a column of its own outranks the cell's.
[[gnu::noinline]] bool row_reader::put_pressures(vital_set& set, std::string_view text,
                                                 bool& palpated) const {
    if (is_blank(text)) {
        return false;
    }
    const pressure_cell cell = read_pressure_cell(text, pressure_rules_);
    put_pressure(set, cell, method::unknown);
    palpated |= is_palpated(cell);
    return true;
}

// In line: a call a row costs 20 instructions.
[[gnu::always_inline]] inline void row_reader::read_contexts(
    vital_set& set, std::span<const std::string_view> cells, std::uint64_t line) const {
    for (const column* context : context_) {
        if (const std::string_view text = trimmed(cells[context->index]); !text.empty()) {
            read_context(set, *context, text, line);
        }
    }
}

bool row_reader::fill(vital_set& set, std::span<const std::string_view> cells,
                      std::uint64_t line) const {
    bool any = false;
    bool palpated = false;
    for_each_sign(all_signs{}, [&]<VitalSign S>(S) { any |= put<S>(set, cells, palpated); });
    if (!any) {
        return false;
    }
    if (palpated) {
        note_palpated(set);
    }
    fill_time(set, cells, line);
    read_contexts(set, cells, line);
    return true;
}

void row_reader::fill_time(vital_set& set, std::span<const std::string_view> cells,
                           std::uint64_t line) const {
    set.line = line;
    if (time_ != nullptr) {
        read_time(set, cells, line);
    }
}

void row_reader::fill_context(vital_set& set, std::span<const std::string_view> cells,
                              std::uint64_t line) const {
    read_contexts(set, cells, line);
}

inline void row_reader::place(vital_set& set, std::span<const std::string_view> cells,
                              std::uint64_t line) const {
    if (zone_ != nullptr && !set.taken_at->utc_offset && !zone_->place(*set.taken_at)) {
        complaints_.unplaced(line, *time_, cells[time_->index]);
    }
}

void row_reader::read_time(vital_set& set, std::span<const std::string_view> cells,
                           std::uint64_t line) const {
    const std::string_view text = cells[time_->index];
    // Read where it belongs: to hand it on as a timestamp took as long as to read it.
    std::chrono::local_seconds usual;
    if (date_ == nullptr && read_usual_time(text, last_day_, usual)) [[likely]] {
        set.taken_at.emplace().local = usual;
        place(set, cells, line);
        return;
    }
    const timestamp time = read_timestamp(text, time_->written, last_day_);
    if (time.kind == time_kind::clock && date_ == nullptr) {
        set.taken_at = time.time;
        place(set, cells, line);
    } else {
        read_other_time(set, time, cells, line);
    }
}

// A time that may have its day in another cell, or that cannot be used.
[[gnu::noinline]] void row_reader::read_other_time(vital_set& set, timestamp time,
                                                   std::span<const std::string_view> cells,
                                                   std::uint64_t line) const {
    const column* where = time_;
    if (date_ != nullptr && !has_own_date(time)) {
        const timestamp day = read_timestamp(cells[date_->index], date_->written);
        const bool day_unusable =
            day.kind == time_kind::unreadable || day.kind == time_kind::undecided;
        time = joined(day, time);
        where = day_unusable && time.kind == day.kind ? date_ : time_;
    }
    switch (time.kind) {
        case time_kind::blank:
            break;
        case time_kind::clock:
            set.taken_at = time.time;
            place(set, cells, line);
            break;
        case time_kind::elapsed:
            set.taken_at = time.time;
            complaints_.elapsed(line);
            break;
        case time_kind::date_only:
        case time_kind::clock_only:
        case time_kind::undecided:
        case time_kind::unreadable:
            complaints_.time(line, *where, cells[where->index], time.kind);
            break;
    }
}

void row_reader::read_context(vital_set& set, const column& context, std::string_view text,
                              std::uint64_t line) const {
    if (!take_context(set, context, text)) {
        complaints_.context(line, context, text);
    }
}

}  // namespace vitalproof::read
