#include "read/cell.hpp"

#include "read/absence_words.hpp"
#include "read/coma_words.hpp"
#include "read/number.hpp"
#include "read/remark.hpp"
#include "read/responsiveness_words.hpp"
#include "read/text.hpp"

#include <cmath>
#include <string>

namespace vitalproof::read {

namespace {

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

// A step of a scale that was told in words.
cell_value of_points(int points) {
    cell_value cell;
    cell.state = reading_state::number;
    cell.value = points;
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

cell_value of_level(std::string_view text) {
    const auto level = level_named(text);
    if (!level) {
        return of_state(reading_state::unreadable, text);
    }
    return of_points(static_cast<int>(*level));
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

// `110/P`, `110 palp`: the whole pressure in the systolic's cell, felt at the pulse, and complete.
std::optional<cell_value> palpated_systolic(std::string_view text, const cell_rules& rules) {
    if (rules.sign != sign_id::systolic) {
        return std::nullopt;
    }
    auto [number, rest] = split_number(text);
    if (rest.starts_with('/')) {
        rest = trimmed(rest.substr(1));
    }
    const auto value = parse_number_with_comma(number, rules.decimal_comma);
    if (!value || !is_palpated(rest)) {
        return std::nullopt;
    }
    cell_value cell = of_number(*value, rules.unit, text, true, rules);
    cell.palpated = true;
    return cell;
}

// How far into what stands behind a number its unit goes; 0 where none is there.
std::size_t end_of_unit(std::string_view rest) {
    constexpr int most_words = 4;  // of a unit; without a bound a long text would be read n times
    constexpr std::size_t longest = 32;
    std::size_t end = 0;
    std::string_view left = rest;
    for (int words = 0; words < most_words; ++words) {
        const auto [word, behind] = split_word(left);
        const auto word_end = static_cast<std::size_t>(word.data() + word.size() - rest.data());
        if (word.empty() || word_end > longest) {
            break;
        }
        if (unit_named(rest.substr(0, word_end))) {
            end = word_end;
        }
        left = behind;
    }
    return end;
}

// `98 %`, `98% RA`, `88 reg`: a number, its unit if any, and a remark if any.
cell_value of_number_and_more(std::string_view text, const cell_rules& rules) {
    const auto [number, rest] = split_number(text);
    const std::size_t unit_end = end_of_unit(rest);
    const auto value = parse_number_with_comma(number, rules.decimal_comma);
    const auto unit = unit_in_force(rest.substr(0, unit_end), rules);
    const auto told = read_remark(rules.sign, rest.substr(unit_end));
    if (!value || !unit || !told || rest.empty()) {
        return of_state(reading_state::unreadable, text);
    }
    const std::string_view without_remark =
        text.substr(0, static_cast<std::size_t>(rest.data() + unit_end - text.data()));
    cell_value cell = of_number(*value, *unit, trimmed(unit_end == 0 ? number : without_remark),
                                unit_end != 0, rules);
    cell.known = *told;
    return cell;
}

// `RR 18`, `irregular 110`: what stands there without the words before it.
cell_value of_led_number(const led_number& led, std::string_view text, const cell_rules& rules) {
    const auto value = parse_number_with_comma(led.text, rules.decimal_comma);
    cell_value cell = value ? of_number(*value, rules.unit, led.text, false, rules)
                            : of_number_and_more(led.text, rules);
    if (cell.state != reading_state::number) {
        return of_state(reading_state::unreadable, text);
    }
    cell.known = led.known.overlaid_by(cell.known);
    return cell;
}

cell_value of_words(std::string_view text, const cell_rules& rules) {
    if (is_not_testable(rules.sign, text)) {
        return of_absence(absence::unable);
    }
    if (const auto points = points_named(rules.sign, text)) {
        return of_points(*points);
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
    if (const auto led = behind_lead(rules.sign, text)) {
        return of_led_number(*led, text, rules);
    }
    return of_number_and_more(text, rules);
}

}  // namespace

cell_value read_cell(std::string_view text, const cell_rules& rules) {
    text = trimmed_wide(text);
    if (text.empty()) {
        return of_absence(absence::blank);
    }
    if (const auto why = absence_named(text)) {
        return of_absence(*why);
    }
    if (rules.sign != sign_id::responsiveness) {
        if (const auto value = parse_number_with_comma(text, rules.decimal_comma)) {
            return of_number(*value, rules.unit, text, false, rules);
        }
    }
    return of_words(text, rules);
}

}  // namespace vitalproof::read
