#include "read/column_meaning.hpp"

#include "read/column_groups.hpp"
#include "read/column_names.hpp"
#include "read/text.hpp"

namespace vitalproof::read {

namespace {

// Bytes of a header that may be a name of ours: every place in it is tried as the end of a name, so
// that one of any length would take its square in time.
constexpr std::size_t longest_name = 256;

// Where a unit may begin inside a header: at every word, `%`, degree sign or slash.
bool may_begin_unit(std::string_view text, std::size_t at) {
    constexpr std::string_view separators = " \t_-()[]{},:;.*#";
    if (separators.find(text[at]) != std::string_view::npos) {
        return true;
    }
    const std::string_view rest = text.substr(at);
    return rest.starts_with('%') || rest.starts_with('/') || rest.starts_with("\xC2\xB0") ||
           rest.starts_with("\xC2\xBA") || rest.starts_with("\xE2\x84");
}

void set_sign(understood& column, const named_column& name, std::optional<charted_unit> unit) {
    column.as.role = name.role;
    column.as.sign = name.sign;
    column.as.unit = unit.value_or(held_unit(name.sign));
    column.as.unit_stated = unit.has_value();
    column.heart_rate = name.heart_rate;
    column.foreign_unit = unit.has_value() && !is_unit_of(name.sign, *unit);
    if (name.sign == sign_id::ecg_rate) {
        column.as.how = method::by_ecg;
    }
}

// "Temp (deg C)": a name of a sign, then a unit of any sign. Tried before the whole header as a
// name, where "SpO2 (%)" would be one and lose its unit.
bool match_separated_unit(understood& column, std::string_view header) {
    for (std::size_t at = 1; at < header.size(); ++at) {
        if (!may_begin_unit(header, at)) {
            continue;
        }
        const auto name = column_named(header_key(header.substr(0, at)));
        const auto unit = unit_named(header.substr(at));
        if (name && has_unit(name->role) && unit) {
            set_sign(column, *name, unit);
            column.unit_text = shown_header(header.substr(at));
            return true;
        }
    }
    return false;
}

// "TempF", "glucosemgdl": glued together, accepted only where the unit is one of the sign's. One
// letter is enough for a temperature alone.
bool match_glued_unit(understood& column, std::string_view key) {
    for (std::size_t at = 1; at < key.size(); ++at) {
        const auto name = column_named(key.substr(0, at));
        const auto unit = unit_named(key.substr(at));
        if (name && has_unit(name->role) && unit && is_unit_of(name->sign, *unit) &&
            (key.size() - at > 1 || name->sign == sign_id::temperature)) {
            set_sign(column, *name, unit);
            return true;
        }
    }
    return false;
}

// By a name alone, with its unit if any; ignored where it is none of ours.
understood understand_plain(std::string_view header) {
    understood column;
    if (match_separated_unit(column, header)) {
        return column;
    }
    const std::string key = header_key(header);
    const auto name = column_named(key);
    if (!name) {
        match_glued_unit(column, key);
        return column;
    }
    if (has_unit(name->role)) {
        set_sign(column, *name, std::nullopt);
        return column;
    }
    column.as.role = name->role;
    column.as.known = name->known;
    column.as.age_in = age_unit_named(key).value_or(age_unit::years);
    column.rank = name->rank;
    return column;
}

bool says_same(const understood& one, const understood& other) {
    return one.as.role == other.as.role && one.as.role != column_role::ignored &&
           (!has_unit(one.as.role) || one.as.sign == other.as.sign) &&
           (one.as.role != column_role::known_fact || one.as.known == other.as.known);
}

// "SBP (Systolic Blood Pressure)", "Heart Rate (Pulse)": a name, and in brackets another of the
// same thing. Of a heart rate that is called a pulse too, a pulse; of two names of which one has a
// unit, the one with it.
understood understand_twice_named(std::string_view header) {
    const std::size_t open = header.find('(');
    const std::size_t close = header.find(')', open);
    if (open == std::string_view::npos || close == std::string_view::npos) {
        return {};
    }
    const std::string around =
        std::string(header.substr(0, open)) + std::string(header.substr(close + 1));
    const understood outer = understand_plain(around);
    const understood inner = understand_plain(header.substr(open + 1, close - open - 1));
    if (!says_same(outer, inner)) {
        return {};
    }
    return inner.as.unit_stated || (outer.heart_rate && !inner.heart_rate) ? inner : outer;
}

struct place_of_element {
    std::size_t begin;
    std::size_t end;
};

// Where the number of an element of the national standard stands: `eVitals.06`, `eVitals_06`.
std::optional<place_of_element> find_element(std::string_view header) {
    constexpr std::size_t digits = 2;
    for (std::size_t dot = header.find_first_of("._"); dot != std::string_view::npos;
         dot = header.find_first_of("._", dot + 1)) {
        std::size_t begin = dot;
        while (begin > 0 && vitalproof::detail::is_letter(header[begin - 1])) {
            --begin;
        }
        const bool numbered =
            dot + digits < header.size() && is_digit(header[dot + 1]) && is_digit(header[dot + 2]);
        if (numbered && begin + 2 < dot && vitalproof::detail::lower(header[begin]) == 'e') {
            return place_of_element{begin, dot + digits + 1};
        }
    }
    return std::nullopt;
}

// "eVitals.24", "Temperature (F) [eVitals.24]": what the element is, in the unit that stands
// beside. An element that is none of ours leaves the name beside it.
understood understand_element(std::string_view header) {
    const auto at = find_element(header);
    if (!at) {
        return {};
    }
    const std::string others =
        std::string(header.substr(0, at->begin)) + ' ' + std::string(header.substr(at->end));
    const understood by_name = understand_plain(others);
    const understood by_number = understand_plain(header.substr(at->begin, at->end - at->begin));
    const bool names_the_unit = says_same(by_number, by_name) && by_name.as.unit_stated;
    return by_number.as.role == column_role::ignored || names_the_unit ? by_name : by_number;
}

// What a name by itself says of a column; ignored where it is none of ours.
understood understand_name(std::string_view header) {
    if (header.size() > longest_name) {
        return {};
    }
    for (const auto understand : {understand_plain, understand_element, understand_twice_named}) {
        if (understood column = understand(header); column.as.role != column_role::ignored) {
            return column;
        }
    }
    return {};
}

// A name with a number in it, such as "Vitals 2 - SBP"; ignored where it is none of ours.
understood understand_numbered(std::string_view header) {
    for (const numbered_name& without : without_number(header)) {
        understood column = understand_name(without.name);
        if (may_repeat(column.as.role)) {
            column.as.group = without.group;
            return column;
        }
    }
    return {};
}

}  // namespace

understood understand_column(std::size_t index, std::string_view header, bool may_be_numbered) {
    understood column = understand_name(header);
    if (column.as.role == column_role::ignored && may_be_numbered &&
        header.size() <= longest_name) {
        column = understand_numbered(header);
    }
    column.as.index = index;
    column.as.header = shown_header(header);
    return column;
}

understood understand_mapped(std::size_t index, std::string_view header,
                             const mapped_column& said) {
    understood column;
    column.as.index = index;
    column.as.header = shown_header(header);
    column.as.role = said.role;
    column.as.known = said.known;
    column.as.age_in = said.age_in;
    column.as.mapped = true;
    column.as.group = said.set;
    column.set_said = said.set.has_value();
    column.rank = -1;  // before every name
    if (has_unit(said.role)) {
        set_sign(column, {.role = said.role, .sign = said.sign}, said.unit);
    }
    return column;
}

std::optional<named_sign> sign_called(std::string_view name) {
    const understood column = understand_name(name);
    if (!has_unit(column.as.role)) {
        return std::nullopt;
    }
    return named_sign{column.as.sign,
                      column.as.unit_stated ? std::optional(column.as.unit) : std::nullopt,
                      column.heart_rate, column.as.role == column_role::pressures};
}

}  // namespace vitalproof::read
