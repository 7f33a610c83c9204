#include "read/charted_unit.hpp"

#include "read/text.hpp"

#include <array>
#include <utility>

namespace vitalproof::read {

namespace {

constexpr std::array<std::string_view, charted_units> symbols{
    "mmHg", "kPa", "/min", "%", "fraction", "mg/dL", "mmol/L", "°C", "°F", "points", ""};

struct named_unit {
    std::string_view name;  // letters only, "per" for a slash, "pct" for %, "deg" for the degree
    charted_unit unit;
};

constexpr std::array<named_unit, 44> names{{
    {"mmhg", charted_unit::mmhg},
    {"torr", charted_unit::mmhg},
    {"kpa", charted_unit::kilopascal},
    {"kilopascal", charted_unit::kilopascal},
    {"permin", charted_unit::per_minute},
    {"perminute", charted_unit::per_minute},
    {"bpm", charted_unit::per_minute},
    {"rpm", charted_unit::per_minute},
    {"brpm", charted_unit::per_minute},
    {"beatspermin", charted_unit::per_minute},
    {"beatsperminute", charted_unit::per_minute},
    {"breathspermin", charted_unit::per_minute},
    {"breathsperminute", charted_unit::per_minute},
    {"beatsmin", charted_unit::per_minute},
    {"breathsmin", charted_unit::per_minute},
    {"pct", charted_unit::percent},
    {"percent", charted_unit::percent},
    {"fraction", charted_unit::fraction},
    {"mgperdl", charted_unit::mg_per_dl},
    {"mgdl", charted_unit::mg_per_dl},
    {"mgperdeciliter", charted_unit::mg_per_dl},
    {"mmolperl", charted_unit::mmol_per_l},
    {"mmoll", charted_unit::mmol_per_l},
    {"mmol", charted_unit::mmol_per_l},
    {"mmolperliter", charted_unit::mmol_per_l},
    {"mmolperlitre", charted_unit::mmol_per_l},
    {"c", charted_unit::celsius},
    {"cel", charted_unit::celsius},
    {"degc", charted_unit::celsius},
    {"degcel", charted_unit::celsius},
    {"celsius", charted_unit::celsius},
    {"degcelsius", charted_unit::celsius},
    {"degreesc", charted_unit::celsius},
    {"degreescelsius", charted_unit::celsius},
    {"f", charted_unit::fahrenheit},
    {"degf", charted_unit::fahrenheit},
    {"fahrenheit", charted_unit::fahrenheit},
    {"degfahrenheit", charted_unit::fahrenheit},
    {"degreesf", charted_unit::fahrenheit},
    {"degreesfahrenheit", charted_unit::fahrenheit},
    {"points", charted_unit::points},
    {"point", charted_unit::points},
    {"pts", charted_unit::points},
    {"score", charted_unit::points},
}};

}  // namespace

std::string_view symbol_of(charted_unit unit) { return symbols[static_cast<std::size_t>(unit)]; }

std::string unit_key(std::string_view text) {
    constexpr std::array<std::pair<std::string_view, std::string_view>, 8> spelled{{
        {"%", "pct"},
        {"/", "per"},
        {"\xC2\xB0", "deg"},       // degree sign
        {"\xC2\xBA", "deg"},       // masculine ordinal, often typed for it
        {"\xE2\x84\x83", "degc"},  // degree Celsius as one character
        {"\xE2\x84\x89", "degf"},  // degree Fahrenheit
        {"\xE2\x82\x82", "2"},     // subscript two
        {"\xEF\xBB\xBF", ""},      // a byte order mark that was glued on twice
    }};
    std::string key;
    while (!text.empty()) {
        bool found = false;
        for (const auto& [sign, word] : spelled) {
            if (text.starts_with(sign)) {
                key += word;
                text.remove_prefix(sign.size());
                found = true;
                break;
            }
        }
        if (!found) {
            key += bare_name(text.substr(0, 1));
            text.remove_prefix(1);
        }
    }
    return key;
}

std::optional<charted_unit> unit_named(std::string_view text) {
    const std::string key = unit_key(text);
    for (const named_unit& known : names) {
        if (known.name == key) {
            return known.unit;
        }
    }
    return std::nullopt;
}

charted_unit held_unit(sign_id sign) {
    switch (sign) {
        case sign_id::systolic:
        case sign_id::diastolic:
        case sign_id::mean_pressure:
        case sign_id::exhaled_co2:
            return charted_unit::mmhg;
        case sign_id::pulse:
        case sign_id::ecg_rate:
        case sign_id::respiratory_rate:
            return charted_unit::per_minute;
        case sign_id::saturation:
            return charted_unit::percent;
        case sign_id::glucose:
            return charted_unit::mg_per_dl;
        case sign_id::temperature:
            return charted_unit::celsius;
        case sign_id::coma_eye:
        case sign_id::coma_verbal:
        case sign_id::coma_motor:
        case sign_id::coma_total:
            return charted_unit::points;
        case sign_id::responsiveness:
            break;
    }
    return charted_unit::level;
}

bool is_unit_of(sign_id sign, charted_unit unit) {
    if (unit == held_unit(sign)) {
        return true;
    }
    switch (unit) {
        case charted_unit::kilopascal:
            return held_unit(sign) == charted_unit::mmhg;
        case charted_unit::fraction:
            return sign == sign_id::saturation;
        case charted_unit::mmol_per_l:
            return sign == sign_id::glucose;
        case charted_unit::fahrenheit:
            return sign == sign_id::temperature;
        case charted_unit::percent:
            return sign == sign_id::exhaled_co2;
        default:
            return false;
    }
}

bool has_other_units(sign_id sign) {
    for (std::size_t i = 0; i < charted_units; ++i) {
        const auto unit = static_cast<charted_unit>(i);
        if (unit != held_unit(sign) && is_unit_of(sign, unit)) {
            return true;
        }
    }
    return false;
}

std::string units_of(sign_id sign) {
    std::string list;
    for (std::size_t i = 0; i + 1 < charted_units; ++i) {
        if (is_unit_of(sign, static_cast<charted_unit>(i))) {
            list += (list.empty() ? "" : " or ") + std::string(symbols[i]);
        }
    }
    return list.empty() ? "no unit" : list;
}

double to_held(sign_id sign, charted_unit unit, double value, const co2_percent_basis& basis) {
    if (unit == held_unit(sign)) {
        return value;
    }
    switch (unit) {
        case charted_unit::kilopascal:
            return to<units::mmhg>(quantity<units::kilopascal>::from_value(value)).value();
        case charted_unit::fraction:
            return to<units::percent>(quantity<units::fraction>::from_value(value)).value();
        case charted_unit::mmol_per_l:
            return to_mg_per_dl(quantity<units::mmol_per_l>::from_value(value)).value();
        case charted_unit::fahrenheit:
            return to<units::celsius>(quantity<units::fahrenheit>::from_value(value)).value();
        case charted_unit::percent:
            return exhaled_co2_from_percent(quantity<units::percent>::from_value(value), basis)
                .value();
        default:
            return value;
    }
}

charted_text value_in_unit(std::string_view value, std::string_view unit) {
    const std::string both = std::string(value) + ' ' + std::string(unit);
    return charted_text(may_be_echoed(both) ? std::string_view(both) : value);
}

}  // namespace vitalproof::read
