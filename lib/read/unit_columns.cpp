#include "read/unit_columns.hpp"

#include "read/first_rows.hpp"
#include "read/number.hpp"
#include "read/text.hpp"
#include <vitalproof/checks/unit.hpp>

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

namespace vitalproof::read {

namespace {

constexpr std::size_t look = std::size_t{1} << 16;
constexpr std::size_t fewest_numbers = 20;
constexpr std::size_t percent_needed = 90;  // common practice, no source

struct candidate {
    column* at;
    charted_unit other;
    bool (*suspects)(real number);  // of a number taken in the unit the sign is held in
    std::size_t numbers = 0;
    std::size_t suspect = 0;

    bool settled() const {
        return numbers >= fewest_numbers && suspect * 100 >= numbers * percent_needed;
    }
};

template <class Check, class Unit>
bool in_span(real number) {
    return typename Check::limits{}.holds(quantity<Unit, real>::from_value(number));
}

bool in_systolic_span(real number) {
    const checks::unit_pressure::limits l;
    return number >= l.systolic_low.value() && number <= l.systolic_high.value();
}

bool in_diastolic_span(real number) {
    const checks::unit_pressure::limits l;
    return number >= l.diastolic_low.value() && number <= l.diastolic_high.value();
}

// The unit a column without one may be in instead, by its sign.
std::vector<candidate> candidates_of(understanding& columns) {
    std::vector<candidate> found;
    for (column& c : columns.columns) {
        if (c.role != column_role::sign || c.unit_stated) {
            continue;
        }
        const auto add = [&](charted_unit other, bool (*suspects)(real)) {
            found.push_back({&c, other, suspects});
        };
        switch (c.sign) {
            case sign_id::temperature:
                add(charted_unit::fahrenheit,
                    in_span<checks::unit_temperature_fahrenheit, units::celsius>);
                break;
            case sign_id::saturation:
                add(charted_unit::fraction,
                    in_span<checks::unit_saturation_fraction, units::percent>);
                break;
            case sign_id::glucose:
                add(charted_unit::mmol_per_l, in_span<checks::unit_glucose, units::mg_per_dl>);
                break;
            case sign_id::exhaled_co2:
                add(charted_unit::kilopascal, in_span<checks::unit_exhaled_co2, units::mmhg>);
                break;
            case sign_id::systolic:
                add(charted_unit::kilopascal, in_systolic_span);
                break;
            case sign_id::diastolic:
                add(charted_unit::kilopascal, in_diastolic_span);
                break;
            default:
                break;
        }
    }
    return found;
}

void count(candidate& c, const token_row& row, bool decimal_comma) {
    if (c.at->index >= row.cells.size()) {
        return;
    }
    if (const auto number =
            parse_number_with_comma(trimmed(row.cells[c.at->index]), decimal_comma)) {
        ++c.numbers;
        c.suspect += c.suspects(to_real(*number)) ? 1 : 0;
    }
}

}  // namespace

void settle_units(understanding& columns, tokenizer& tokens, const tokenizer_options& options) {
    std::vector<candidate> candidates = candidates_of(columns);
    if (candidates.empty()) {
        return;
    }
    look_at_first_rows(tokens, options, look, [&](const token_row& row) {
        for (candidate& c : candidates) {
            count(c, row, columns.decimal_comma);
        }
        return true;
    });
    for (const candidate& c : candidates) {
        if (c.settled()) {
            c.at->unit = c.other;
            add_phrase(c.at->remark,
                       std::to_string(c.suspect) + " of the first " + std::to_string(c.numbers) +
                           " values can hardly be anything but " + std::string(symbol_of(c.other)) +
                           ": read so, since no unit is stated. Name the unit in the header");
        }
    }
}

}  // namespace vitalproof::read
