#include "write/mapping_toml.hpp"

#include "read/mapping_file.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace vitalproof::write {

namespace {

/// A header or name as a key of TOML. It is printable already.
std::string key(std::string_view text) {
    std::string quoted = "\"";
    for (const char c : text) {
        quoted += c == '"' || c == '\\' ? "\\" : "";
        quoted += c;
    }
    return quoted + '"';
}

std::string unit_part(std::optional<read::charted_unit> unit) {
    return unit ? fmt::format(", unit = \"{}\"", read::symbol_of(*unit)) : "";
}

std::string sign_part(sign_id sign, std::optional<read::charted_unit> unit) {
    return fmt::format("sign = \"{}\"{}", describe(sign).name, unit_part(unit));
}

std::string pressures_part(std::optional<read::charted_unit> unit) {
    return fmt::format("is = \"pressures\"{}", unit_part(unit));
}

std::string meaning_part(const read::column& c) {
    const auto stated = c.unit_stated ? std::optional(c.unit) : std::nullopt;
    switch (c.role) {
        case read::column_role::sign:
            return sign_part(c.sign, stated);
        case read::column_role::pressures:
            return pressures_part(stated);
        case read::column_role::known_fact:
            return fmt::format("is = \"{}\"", fact_names[static_cast<std::size_t>(c.known)]);
        case read::column_role::age:
            return c.age_in ? fmt::format("is = \"age\", unit = \"{}\"", read::name_of(*c.age_in))
                            : "is = \"age\"";
        default:
            return fmt::format("is = \"{}\"", read::mapping_word(c.role));
    }
}

std::string entry(const read::column& c) {
    const std::string set = c.group ? fmt::format(", set = {}", *c.group) : "";
    return fmt::format("{{ {}{} }}", meaning_part(c), set);
}

}  // namespace

std::string mapping_as_toml(const std::string& file, const read::understanding& columns) {
    std::string text = fmt::format(
        "# How {} is understood. Change what is wrong, then give it back with\n"
        "# --mapping THIS_FILE. A unit that is not written is not stated in the file.\n"
        "schema = {}\n",
        file, read::mapping_schema);
    text += columns.report_stated
                ? fmt::format("report = {{ value = {} }}\n", key(*columns.report_stated))
                : "";
    text += "\n[columns]\n";
    for (const auto& c : columns.columns) {
        // A mapping can speak only of a header that there is, and once.
        if (c.header.empty()) {
            text += fmt::format("# column {} has no header\n", c.index + 1);
        } else if (std::ranges::count(columns.columns, c.header, &read::column::header) > 1) {
            text += fmt::format("# {}: more than one column has this header\n", key(c.header));
        } else {
            text += fmt::format("{} = {}\n", key(c.header), entry(c));
        }
    }
    text += columns.measures.empty() ? "" : "\n[signs]\n";
    for (const auto& m : columns.measures) {
        text += fmt::format("{} = {{ {} }}\n", key(m.name),
                            m.pressures ? pressures_part(m.unit) : sign_part(m.sign, m.unit));
    }
    return text;
}

}  // namespace vitalproof::write
