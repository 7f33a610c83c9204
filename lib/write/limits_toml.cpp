#include "write/limits_toml.hpp"

#include <vitalproof/limit_entries.hpp>

#include <fmt/format.h>

#include <set>

namespace vitalproof::write {

namespace {

std::string origin(const read::sourced_limits& in_force, const limit_entry& entry) {
    const auto set = in_force.set_by.find(entry.table + "." + entry.name);
    return set == in_force.set_by.end() ? "default: " + std::string(entry.source)
                                        : "set in " + set->second;
}

void append_switch(std::string& text, const read::sourced_limits& in_force,
                   const std::string& table) {
    const auto check = find_check(table);
    const auto of_batch = find_batch_check(table);
    if ((check && !in_force.values.is_on(*check)) ||
        (of_batch && !in_force.values.is_on(*of_batch))) {
        const auto by = in_force.off_by.find(table);
        text += "on = false  # " +
                (by == in_force.off_by.end() ? std::string("turned off") : "by " + by->second) +
                "\n";
    }
}

}  // namespace

std::string figure(real value, std::string_view unit) { return fmt::format("{} {}", value, unit); }

std::string limits_as_toml(const read::sourced_limits& in_force) {
    limits copy = in_force.values;
    std::string text =
        "# Limits in force. Change a figure with its unit, or turn a check off with \"on = "
        "false\";\n"
        "# then audit with --limits THIS_FILE. Thresholds are for the agency's medical direction.\n"
        "schema = " +
        std::to_string(read::limits_schema) + "\n";
    std::string table;
    std::set<std::string> written;
    for (const limit_entry& entry : list_limits(copy)) {
        if (entry.table != table) {
            table = entry.table;
            written.insert(table);
            text += "\n[" + table + "]\n";
            text += table.starts_with("usual.") ? "# the adult reference; no check uses it\n" : "";
            append_switch(text, in_force, table);
        }
        text += entry.name + " = \"" + figure(*entry.value, entry.unit) + "\"  # " +
                origin(in_force, entry) + "\n";
    }
    for (std::size_t i = 0; i < check_count; ++i) {
        const std::string code(check_table[i].code);
        if (!in_force.values.is_on(i) && !written.contains(code)) {
            text += "\n[" + code + "]\n";
            append_switch(text, in_force, code);
        }
    }
    for (std::size_t i = 0; i < batch_check_count; ++i) {
        const std::string code(batch_check_table[i].code);
        if (!in_force.values.is_on(static_cast<batch_check>(i))) {
            text += "\n[" + code + "]\n";
            append_switch(text, in_force, code);
        }
    }
    return text;
}

}  // namespace vitalproof::write
