#include "read/column_meaning.hpp"

#include "read/column_groups.hpp"
#include "read/column_names.hpp"

namespace vitalproof::read {

namespace {

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

// What a name by itself says of a column; ignored where it is none of ours.
understood understand_name(std::string_view header) {
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
    if (column.as.role == column_role::ignored && may_be_numbered) {
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
