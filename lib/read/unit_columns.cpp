#include "read/unit_columns.hpp"

#include "read/first_rows.hpp"
#include "read/number.hpp"
#include "read/pressure_cell.hpp"
#include "read/text.hpp"
#include <vitalproof/checks/unit.hpp>
#include <vitalproof/checks/unit_column.hpp>

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

namespace vitalproof::read {

namespace {

constexpr std::size_t first_look = std::size_t{1} << 16;
constexpr std::size_t longest_look = std::size_t{1} << 20;

using checks::unit_column;

template <class Check, class Unit>
bool in_span(sign_id, charted_unit, real held) {
    static constexpr typename Check::limits span;
    return span.holds(quantity<Unit, real>::from_value(held));
}

bool in_pressure_span(sign_id sign, charted_unit, real held) {
    const checks::unit_pressure::limits l;
    return sign == sign_id::systolic
               ? held >= l.systolic_low.value() && held <= l.systolic_high.value()
               : held >= l.diastolic_low.value() && held <= l.diastolic_high.value();
}

// Of units that are multiples of the held one.
bool only_as_held(sign_id sign, charted_unit stated, real held) {
    const bounds believable = sign_limits{}.believable[index_of(sign)];
    const auto is_believable = [&](real value) {
        return value >= believable.low && value <= believable.high;
    };
    const real number = held / to_real(to_held(sign, stated, 1));
    return !is_believable(held) && is_believable(number);
}

// Columns that are judged together.
struct candidate {
    std::vector<column*> columns;
    sign_id sign;
    other_unit other;
    unit_column::counts counts{};

    const column& first() const { return *columns.front(); }
};

bool stand_for_one(const column& a, const column& b) {
    return a.unit_stated && b.unit_stated && a.role == b.role && a.sign == b.sign &&
           a.unit == b.unit;
}

std::vector<candidate> candidates_of(understanding& columns) {
    std::vector<candidate> found;
    for (column& c : columns.columns) {
        if (!has_unit(c.role)) {
            continue;
        }
        const auto other = other_unit_of(c.sign, c.unit);
        const auto same = std::ranges::find_if(
            found, [&](const candidate& earlier) { return stand_for_one(earlier.first(), c); });
        if (same != found.end()) {
            same->columns.push_back(&c);
        } else if (other) {
            found.push_back({{&c}, c.sign, *other});
        }
    }
    return found;
}

void count(candidate& c, const token_row& row, bool decimal_comma) {
    for (const column* at : c.columns) {
        if (at->index >= row.cells.size()) {
            continue;
        }
        const cell_rules rules{.sign = at->sign, .unit = at->unit, .decimal_comma = decimal_comma};
        const bool whole = at->role == column_role::pressures;
        if (const auto held = held_number(row.cells[at->index], rules, whole)) {
            c.counts.add(c.other.fits(c.sign, at->unit, to_real(*held)));
        }
    }
}

// Whether these are all the bytes there are.
bool count_first_rows(std::vector<candidate>& candidates, std::size_t look,
                      const understanding& columns, tokenizer& tokens,
                      const tokenizer_options& options) {
    for (candidate& c : candidates) {
        c.counts = {};
    }
    return look_at_first_rows(tokens, options, look, [&](const token_row& row) {
        for (candidate& c : candidates) {
            count(c, row, columns.decimal_comma);
        }
        return true;
    });
}

std::string looked_at(const unit_column::counts& counts) {
    return std::to_string(counts.fitting) + " of the first " + std::to_string(counts.numbers) +
           " values ";
}

}  // namespace

std::optional<double> held_number(std::string_view text, const cell_rules& rules,
                                  bool is_whole_pressure) {
    if (is_whole_pressure) {
        const cell_value cell = read_pressure_cell(text, rules).systolic;
        return cell.state == reading_state::number ? std::optional(cell.value) : std::nullopt;
    }
    const auto number = parse_number_with_comma(trimmed(text), rules.decimal_comma);
    return number ? std::optional(to_held(rules.sign, rules.unit, *number)) : std::nullopt;
}

std::string read_as_fitting(charted_unit fits, const unit_column::counts& counts) {
    return looked_at(counts)
        .append("can hardly be anything but ")
        .append(symbol_of(fits))
        .append(": read so, since no unit is stated");
}

void settle_unit(column& as, charted_unit fits, const unit_column::counts& counts) {
    if (!as.unit_stated) {
        add_phrase(as.remark, read_as_fitting(fits, counts) + ". Name the unit in the header");
        as.unit = fits;
        return;
    }
    add_phrase(as.remark, looked_at(counts)
                              .append("fit ")
                              .append(symbol_of(fits))
                              .append(", not the stated ")
                              .append(symbol_of(as.unit))
                              .append(": read as stated"));
    as.doubt = {fits, counts};
}

std::optional<other_unit> other_unit_of(sign_id sign, charted_unit stated) {
    const bool as_held = stated == held_unit(sign);
    const other_unit held{held_unit(sign), only_as_held};
    switch (sign) {
        case sign_id::temperature:
            return as_held
                       ? other_unit{charted_unit::fahrenheit,
                                    in_span<checks::unit_temperature_fahrenheit, units::celsius>}
                       : other_unit{
                             charted_unit::celsius,
                             in_span<checks::unit_temperature_converted_twice, units::celsius>};
        case sign_id::saturation:
            return as_held ? other_unit{charted_unit::fraction,
                                        in_span<checks::unit_saturation_fraction, units::percent>}
                           : held;
        case sign_id::glucose:
            return as_held ? other_unit{charted_unit::mmol_per_l,
                                        in_span<checks::unit_glucose, units::mg_per_dl>}
                           : held;
        case sign_id::exhaled_co2:
            return as_held ? other_unit{charted_unit::kilopascal,
                                        in_span<checks::unit_exhaled_co2, units::mmhg>}
                           : held;
        case sign_id::systolic:
        case sign_id::diastolic:
            return as_held ? other_unit{charted_unit::kilopascal, in_pressure_span} : held;
        case sign_id::mean_pressure:
            return as_held ? std::nullopt : std::optional(held);
        default:
            return std::nullopt;
    }
}

void settle_units(understanding& columns, tokenizer& tokens, const tokenizer_options& options) {
    std::vector<candidate> candidates = candidates_of(columns);
    if (candidates.empty()) {
        return;
    }
    if (!count_first_rows(candidates, first_look, columns, tokens, options)) {
        // Those that may fire only: further down their columns may be another.
        std::erase_if(candidates,
                      [](const candidate& c) { return !unit_column::nearly_all(c.counts); });
        if (!candidates.empty()) {
            count_first_rows(candidates, longest_look, columns, tokens, options);
        }
    }
    for (const candidate& c : candidates) {
        if (unit_column::fires(c.counts)) {
            for (column* at : c.columns) {
                settle_unit(*at, c.other.unit, c.counts);
            }
        }
    }
}

}  // namespace vitalproof::read
