#include "read/cell.hpp"

#include "read/number.hpp"
#include "read/text.hpp"

#include <array>
#include <cmath>
#include <string>

namespace vitalproof::read {

namespace {

struct absence_word {
    std::string_view word;
    absence why;
};

// A dash and a machine's "nothing here" give no reason, so they are as good as an empty cell.
constexpr std::array absence_words = std::to_array<absence_word>({
    {"-", absence::blank},
    {"nan", absence::blank},
    {"null", absence::blank},
    {"n/a", absence::not_applicable},
    {"na", absence::not_applicable},
    {"not applicable", absence::not_applicable},
    {"refused", absence::refused},
    {"unable", absence::unable},
    {"unable to complete", absence::unable},
    {"unable to obtain", absence::unable},
    {"uto", absence::unable},
    {"not obtained", absence::unable},
    {"not recorded", absence::not_recorded},
    {"exam finding not present", absence::not_present},
    {"finding not present", absence::not_present},
});

struct level_word {
    std::string_view word;
    responsiveness_level level;
};

constexpr std::array<level_word, 6> level_words{{
    {"alert", responsiveness_level::alert},
    {"verbal", responsiveness_level::verbal},
    {"voice", responsiveness_level::verbal},
    {"painful", responsiveness_level::painful},
    {"pain", responsiveness_level::painful},
    {"unresponsive", responsiveness_level::unresponsive},
}};

cell_value of_state(reading_state state, std::string_view text) {
    cell_value cell;
    cell.state = state;
    cell.charted = charted_text(text);
    return cell;
}

cell_value of_absence(absence why) {
    cell_value cell;
    cell.why = why;
    return cell;
}

// A text split into a leading number and what stands behind it.
struct number_and_rest {
    std::string_view number;
    std::string_view rest;
};

number_and_rest split_number(std::string_view text) {
    std::size_t end = 0;
    while (end < text.size() && (is_digit(text[end]) || std::string_view(".,+-").find(text[end]) !=
                                                            std::string_view::npos)) {
        ++end;
    }
    return {text.substr(0, end), trimmed(text.substr(end))};
}

// The unit a cell's value is in: its own where it carries one, else the column's. None where the
// text behind the number is no unit of the sign, or contradicts the header.
std::optional<charted_unit> unit_in_force(std::string_view written, const cell_rules& rules) {
    if (written.empty()) {
        return rules.unit;
    }
    const std::optional<charted_unit> own = unit_named(written);
    if (!own || !is_unit_of(rules.sign, *own) || (rules.unit_stated && *own != rules.unit)) {
        return std::nullopt;
    }
    return own;
}

// The text as charted with its unit, where both may be shown.
charted_text with_unit(std::string_view text, charted_unit unit) {
    const std::string both = std::string(text) + ' ' + std::string(symbol_of(unit));
    return charted_text(may_be_echoed(both) ? std::string_view(both) : text);
}

cell_value of_number(double value, charted_unit unit, std::string_view text, bool carries_unit,
                     const cell_rules& rules) {
    const double held = to_held(rules.sign, unit, value, rules.co2);
    if (!std::isfinite(held)) {
        return of_state(reading_state::unreadable, text);
    }
    cell_value cell;
    cell.state = reading_state::number;
    cell.value = held;
    if (unit != held_unit(rules.sign)) {
        cell.charted = carries_unit ? charted_text(text) : with_unit(text, unit);
    } else if (carries_unit && !rules.unit_stated) {
        cell.charted = charted_text(text);  // the one place that states the unit
    }
    return cell;
}

std::optional<responsiveness_level> level_named(std::string_view text) {
    if (text.size() == 1) {
        return level_of_letter(text[0]);
    }
    for (const level_word& known : level_words) {
        if (same_word(known.word, text)) {
            return known.level;
        }
    }
    return std::nullopt;
}

cell_value of_level(std::string_view text) {
    const auto level = level_named(text);
    if (!level) {
        return of_state(reading_state::unreadable, text);
    }
    cell_value cell;
    cell.state = reading_state::number;
    cell.value = static_cast<double>(*level);
    return cell;
}

// `HI`, `>600`: beyond what the device can read. The number must be one, with the unit if any.
std::optional<reading_state> beyond_device(std::string_view text, const cell_rules& rules) {
    if (same_word(text, "hi") || same_word(text, "high")) {
        return reading_state::above;
    }
    if (same_word(text, "lo") || same_word(text, "low")) {
        return reading_state::below;
    }
    if (text.front() != '>' && text.front() != '<') {
        return std::nullopt;
    }
    const auto [number, rest] = split_number(trimmed(text.substr(1)));
    if (!parse_number_with_comma(number, rules.decimal_comma) || !unit_in_force(rest, rules)) {
        return std::nullopt;
    }
    return text.front() == '>' ? reading_state::above : reading_state::below;
}

bool is_palpated(std::string_view text) {
    return same_word(text, "p") || same_word(text, "palp") || same_word(text, "palpated");
}

// `110/P`: the whole pressure in the systolic's cell, felt at the pulse, and complete.
std::optional<cell_value> palpated_systolic(std::string_view text, const cell_rules& rules) {
    const std::size_t slash = text.find('/');
    if (rules.sign != sign_id::systolic || slash == std::string_view::npos ||
        !is_palpated(trimmed(text.substr(slash + 1)))) {
        return std::nullopt;
    }
    const auto value = parse_number_with_comma(trimmed(text.substr(0, slash)), rules.decimal_comma);
    if (!value) {
        return std::nullopt;
    }
    cell_value cell = of_number(*value, rules.unit, text, true, rules);
    cell.palpated = true;
    return cell;
}

cell_value of_words(std::string_view text, const cell_rules& rules) {
    for (const absence_word& known : absence_words) {
        if (same_word(known.word, text)) {
            return of_absence(known.why);
        }
    }
    if (rules.sign == sign_id::responsiveness) {
        return of_level(text);
    }
    if (rules.sign == sign_id::diastolic && is_palpated(text)) {
        cell_value cell = of_absence(absence::not_applicable);
        cell.palpated = true;
        cell.charted = charted_text(text);
        return cell;
    }
    if (auto palpated = palpated_systolic(text, rules)) {
        return *palpated;
    }
    if (const auto state = beyond_device(text, rules)) {
        return of_state(*state, text);
    }
    const auto [number, rest] = split_number(text);
    const auto value = parse_number_with_comma(number, rules.decimal_comma);
    const auto unit = unit_in_force(rest, rules);
    if (value && unit && !rest.empty()) {
        return of_number(*value, *unit, text, true, rules);
    }
    return of_state(reading_state::unreadable, text);
}

}  // namespace

cell_value read_cell(std::string_view text, const cell_rules& rules) {
    text = trimmed_wide(text);
    if (text.empty()) {
        return of_absence(absence::blank);
    }
    if (rules.sign != sign_id::responsiveness) {
        if (const auto value = parse_number_with_comma(text, rules.decimal_comma)) {
            return of_number(*value, rules.unit, text, false, rules);
        }
    }
    return of_words(text, rules);
}

}  // namespace vitalproof::read
