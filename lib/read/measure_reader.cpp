#include "read/measure_reader.hpp"

#include "read/absence_words.hpp"
#include "read/column_mapping.hpp"
#include "read/context_words.hpp"
#include "read/first_rows.hpp"
#include "read/loinc.hpp"
#include "read/long_form.hpp"
#include "read/text.hpp"

#include <algorithm>

namespace vitalproof::read {

namespace {

constexpr std::size_t look = std::size_t{1} << 20;
constexpr std::size_t most_known = 4096;  // names with their units
constexpr std::size_t longest_known = 256;
constexpr std::size_t most_listed = 64;

constexpr std::uint32_t bit_of(sign_id sign) { return 1U << index_of(sign); }
constexpr std::uint32_t both_halves = bit_of(sign_id::systolic) | bit_of(sign_id::diastolic);

// The signs that a reading gives a set; of a whole pressure the mean only where there is one.
std::uint32_t signs_of(const measurement& read) {
    if (!read.pressures) {
        return bit_of(read.sign);
    }
    const bool has_mean = read.pressures->mean.state != reading_state::absent;
    return both_halves | (has_mean ? bit_of(sign_id::mean_pressure) : 0);
}

// A unit cell that says nothing.
bool is_no_unit(std::string_view text) { return says_nothing(text) || same_word(text, "none"); }

bool is_pressure(sign_id sign) {
    return sign == sign_id::systolic || sign == sign_id::diastolic ||
           sign == sign_id::mean_pressure;
}

}  // namespace

measure_reader::measure_reader(understanding& columns, const co2_percent_basis& co2,
                               const column_mapping* mapping, cell_complaints& complaints)
    : columns_(columns),
      co2_(co2),
      mapping_(mapping),
      complaints_(complaints),
      name_(columns.find(column_role::sign_name)),
      value_(columns.find(column_role::value)),
      unit_(columns.find(column_role::value_unit)),
      time_(columns.find(column_role::time)),
      date_(columns.date_of_times()),
      pressure_method_(columns.find(column_role::pressure_method)),
      pulse_method_(columns.find(column_role::pulse_method)) {}

std::optional<named_sign> measure_reader::sign_named(std::string_view name) const {
    if (const mapped_sign* said = mapping_ == nullptr ? nullptr : mapping_->find_sign(name)) {
        return said->sign
                   ? std::optional(named_sign{*said->sign, said->unit, false, said->pressures})
                   : std::nullopt;
    }
    if (const auto coded = sign_of_loinc(name)) {
        return named_sign{coded->sign, coded->unit, coded->heart_rate};
    }
    return sign_called(name);
}

std::optional<file_error> measure_reader::look_ahead(tokenizer& tokens,
                                                     const tokenizer_options& options) {
    bool any = false;
    bool units = false;
    const auto look_at_rows = [&](auto&& take) {
        look_at_first_rows(tokens, options, look, [&](const token_row& row) {
            if (row.cells.size() >= columns_.columns.size()) {
                take(row.cells);
            }
            return true;
        });
    };
    look_at_rows([&](std::span<const std::string_view> cells) {
        any = true;
        meaning_of(cells);
        units |= unit_named(unit_cell(cells)).has_value();
    });
    settle_unit_column(columns_, units);
    unit_ = columns_.find(column_role::value_unit);
    known_.clear();  // a unit column may have become the crew's
    look_at_rows(
        [&](std::span<const std::string_view> cells) { count_unstated(meaning_of(cells), cells); });
    settle_units();
    known_.clear();  // a unit may have been settled, a heart rate become the ECG's
    columns_.measures.clear();
    pulse_named_ = (named_ & bit_of(sign_id::pulse)) != 0;
    for_each_sign(all_signs{}, [this]<VitalSign S>(S s) {
        if ((named() & bit_of(S::info.id)) != 0) {
            blank_[s] = reading<S>::absent(absence::blank);
        }
    });
    if (any && named() == 0) {
        return file_error{"no row names a vital sign in column \"" + name_->header + '"',
                          "say in [signs] of a mapping which of its names are vital signs"};
    }
    return std::nullopt;
}

void measure_reader::count_unstated(const meaning& of, std::span<const std::string_view> cells) {
    if (!of.vital || !of.unit_usable) {
        return;
    }
    if (of.rules.unit_stated) {
        stated_by_first_ |= bit_of(of.rules.sign);
        return;
    }
    auto found = unstated_.find(key_);
    if (found == unstated_.end()) {
        if (unstated_.size() == most_known) {
            return;
        }
        found = unstated_
                    .emplace(key_, unstated_unit{of.rules.sign, of.rules.unit,
                                                 other_unit_of(of.rules.sign, of.rules.unit),
                                                 shown_header(trimmed_wide(cells[name_->index]))})
                    .first;
    }
    unstated_unit& unit = found->second;
    const auto held = held_number(cells[value_->index], of.rules, of.pressures);
    if (held && unit.other) {
        unit.counts.add(unit.other->fits(unit.sign, unit.assumed, to_real(*held)));
    }
}

// As of a column: another unit is taken where nearly all numbers can hardly be in the assumed one.
void measure_reader::settle_units() {
    for (auto& [key, unit] : unstated_) {
        if (unit.other && checks::unit_column::fires(unit.counts)) {
            unit.assumed = unit.other->unit;
            settled_.emplace(key, unit.assumed);
            columns_.assumptions.push_back(unit.name + ": " +
                                           read_as_fitting(unit.assumed, unit.counts) +
                                           ". A column of units, or a mapping, can say it");
        }
        if ((stated_by_first_ & bit_of(unit.sign)) == 0) {
            columns_.assumed_units.push_back({unit.sign, unit.assumed});
        }
    }
    unstated_.clear();
}

std::string_view measure_reader::unit_cell(std::span<const std::string_view> cells) const {
    return unit_ == nullptr ? std::string_view() : trimmed_wide(cells[unit_->index]);
}

const measure_reader::meaning& measure_reader::meaning_of(std::span<const std::string_view> cells) {
    const std::string_view name = trimmed_wide(cells[name_->index]);
    const std::string_view unit = unit_cell(cells);
    if (name.size() + unit.size() > longest_known) {
        return uncached_ = {};  // no name of a sign is as long
    }
    key_.assign(name).append(1, '\n').append(unit);
    if (const auto known = known_.find(std::string_view(key_)); known != known_.end()) {
        return known->second;
    }
    uncached_ = work_out(name, unit);
    if (const auto settled = settled_.find(std::string_view(key_)); settled != settled_.end()) {
        uncached_.rules.unit = settled->second;
        uncached_.unit_settled = true;
    }
    carry(uncached_);
    if (uncached_.vital) {
        list(name, uncached_);
    }
    return known_.size() < most_known ? known_.emplace(key_, uncached_).first->second : uncached_;
}

measure_reader::meaning measure_reader::work_out(std::string_view name,
                                                 std::string_view unit) const {
    meaning of;
    const auto sign = sign_named(name);
    if (!sign) {
        return of;
    }
    of.vital = true;
    of.heart_rate = sign->heart_rate;
    of.pressures = sign->pressures;
    of.rules = {.sign = sign->sign,
                .unit = sign->unit.value_or(held_unit(sign->sign)),
                .unit_stated = sign->unit.has_value(),
                .co2 = co2_,
                .decimal_comma = columns_.decimal_comma};
    if (!is_no_unit(unit) && sign->sign != sign_id::responsiveness) {
        const auto in_cell = unit_named(unit);
        of.unit_usable = in_cell && (!sign->unit || *sign->unit == *in_cell);
        of.rules.unit = in_cell.value_or(of.rules.unit);
        of.rules.unit_stated = true;
    }
    if (!is_unit_of(sign->sign, of.rules.unit)) {
        of.unit_usable = false;
    }
    if (!of.unit_usable) {
        of.rules.unit = held_unit(sign->sign);
    }
    return of;
}

void measure_reader::list(std::string_view name, const meaning& of) {
    std::string shown = shown_header(name);
    if (columns_.measures.size() < most_listed &&
        std::ranges::find(columns_.measures, shown, &named_measure::name) ==
            columns_.measures.end()) {
        columns_.measures.push_back(
            {std::move(shown), sign_of(of), sign_named(name)->unit, of.pressures});
    }
}

void measure_reader::carry(const meaning& of) {
    if (!of.vital) {
        return;
    }
    heart_rate_named_ |= of.heart_rate;
    named_ |= of.heart_rate ? 0 : of.pressures ? both_halves : bit_of(of.rules.sign);
}

std::uint32_t measure_reader::named() const {
    const sign_id heart = pulse_named_ ? sign_id::ecg_rate : sign_id::pulse;
    return named_ | (heart_rate_named_ ? bit_of(heart) : 0);
}

sign_id measure_reader::sign_of(const meaning& of) const {
    return of.heart_rate && pulse_named_ ? sign_id::ecg_rate : of.rules.sign;
}

std::optional<measurement> measure_reader::read(std::span<const std::string_view> cells,
                                                std::uint64_t line) {
    const meaning& of = meaning_of(cells);
    if (!of.vital || is_blank(cells[value_->index])) {
        return std::nullopt;
    }
    measurement read{.sign = sign_of(of)};
    if (of.pressures) {
        read.pressures = read_pressures(cells, of, line);
    } else {
        read.cell = read_value(cells, of, line);
    }
    read.how = method_of(read.sign, cells, line);
    if (read.sign == sign_id::pulse && read.how == method::by_ecg) {
        read.sign = sign_id::ecg_rate;
    }
    return read;
}

cell_value measure_reader::read_value(std::span<const std::string_view> cells, const meaning& of,
                                      std::uint64_t line) {
    const std::string_view text = cells[value_->index];
    cell_value cell = read_cell(text, of.rules);
    if (!of.unit_usable && cell.state != reading_state::absent) {
        cell.state = reading_state::unreadable;
        cell.charted = value_in_unit(trimmed_wide(text), unit_cell(cells));
        unusable_units_.add(line);
    } else if (!of.rules.unit_stated && !of.unit_settled && cell.state == reading_state::number &&
               has_other_units(of.rules.sign)) {
        assumed_ |= bit_of(of.rules.sign);
    }
    return cell;
}

pressure_cell measure_reader::read_pressures(std::span<const std::string_view> cells,
                                             const meaning& of, std::uint64_t line) {
    const std::string_view text = cells[value_->index];
    pressure_cell cell = read_pressure_cell(text, of.rules);
    if (!of.unit_usable && cell.systolic.state != reading_state::absent) {
        cell_value unusable;
        unusable.state = reading_state::unreadable;
        unusable.charted = value_in_unit(trimmed_wide(text), unit_cell(cells));
        cell = {unusable, unusable, {}};
        unusable_units_.add(line);
    } else if (!of.rules.unit_stated && !of.unit_settled &&
               cell.systolic.state == reading_state::number) {
        assumed_ |= both_halves;
    }
    return cell;
}

method measure_reader::method_of(sign_id sign, std::span<const std::string_view> cells,
                                 std::uint64_t line) {
    const column* from = is_pressure(sign)        ? pressure_method_
                         : sign == sign_id::pulse ? pulse_method_
                                                  : nullptr;
    if (from == nullptr) {
        return sign == sign_id::ecg_rate ? method::by_ecg : method::unknown;
    }
    const std::string_view text = trimmed(cells[from->index]);
    if (text.empty()) {
        return method::unknown;
    }
    const auto how = is_pressure(sign) ? read_pressure_method(text) : read_pulse_method(text);
    if (!how) {
        complaints_.context(line, *from, text);
    }
    return how.value_or(method::unknown);
}

bool measure_reader::begins_set(const measurement& read,
                                std::span<const std::string_view> cells) const {
    return (given_ & signs_of(read)) != 0 ||
           (time_ != nullptr && cells[time_->index] != time_text_) ||
           (date_ != nullptr && cells[date_->index] != date_text_);
}

const vital_set& measure_reader::begin_set(std::span<const std::string_view> cells) {
    given_ = 0;
    if (time_ != nullptr) {
        time_text_.assign(cells[time_->index]);
    }
    if (date_ != nullptr) {
        date_text_.assign(cells[date_->index]);
    }
    return blank_;
}

void measure_reader::put(vital_set& set, const measurement& read) {
    given_ |= signs_of(read);
    const bool palpated = read.cell.palpated || read.how == method::palpated ||
                          (read.pressures && is_palpated(*read.pressures));
    const method how = palpated ? method::unknown : read.how;
    if (read.pressures) {
        put_pressure(set, *read.pressures, how);
    } else {
        for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
            if (S::info.id == read.sign) {
                put_cell(set, s, read.cell, how);
            }
        });
    }
    if (palpated) {
        note_palpated(set);
    }
}

std::string measure_reader::signs_in(std::uint32_t signs) const {
    std::string list;
    for (const sign_info& sign : sign_table) {
        if ((signs & bit_of(sign.id)) != 0) {
            list += (list.empty() ? "" : ", ") + std::string(sign.label) + " in " +
                    std::string(symbol_of(held_unit(sign.id)));
        }
    }
    return list;
}

void measure_reader::say_what_was_read() {
    auto& said = columns_.assumptions;
    std::erase_if(columns_.signs_not_carried,
                  [this](sign_id sign) { return (named() & bit_of(sign)) != 0; });
    if (heart_rate_named_) {
        said.emplace_back(pulse_named_
                              ? "Heart rate, in a file that names the pulse: read as the ECG rate"
                              : "Heart rate, in a file that does not name the pulse: read as a "
                                "pulse, by which method is not said");
    }
    if (assumed_ != 0) {
        said.push_back("Unit not stated, assumed: " + signs_in(assumed_));
    }
    if (unusable_units_.count != 0) {
        said.push_back("Values in a unit that is none of their sign's, unreadable: " +
                       std::to_string(unusable_units_.count) + ", first in line " +
                       std::to_string(unusable_units_.first_line));
    }
}

}  // namespace vitalproof::read
