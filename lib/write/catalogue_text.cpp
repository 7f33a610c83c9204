#include "write/catalogue_text.hpp"

#include "write/limits_toml.hpp"
#include <vitalproof/message.hpp>
#include <vitalproof/run.hpp>

#include <fmt/format.h>

#include <string_view>

namespace vitalproof::write {

namespace {

/// A check's text with what does not depend on a finding filled in; other names as `[name]`.
std::string in_general(std::string_view text, const sign_info* own) {
    std::string filled;
    while (!text.empty()) {
        const std::size_t open = text.find('{');
        const std::size_t close = text.find('}', open);
        if (open == std::string_view::npos || close == std::string_view::npos) {
            return filled.append(text);
        }
        filled.append(text.substr(0, open));
        const std::string_view name = text.substr(open + 1, close - open - 1);
        if (own != nullptr && name == "label") {
            filled.append(own->label);
        } else if (own != nullptr && name == "unit") {
            filled.append(own->unit.empty() ? "one of its levels" : own->unit);
        } else {
            filled.append("[").append(name).append("]");
        }
        text.remove_prefix(close + 1);
    }
    return filled;
}

std::string in_general(std::string_view text, const check_info& info) {
    return in_general(text, &describe(info.sign));
}
// A check of a batch is of no sign.
std::string in_general(std::string_view text, const batch_check_info& /*info*/) {
    return in_general(text, nullptr);
}

template <class Info>
std::string in_one_line(const Info& info, bool on) {
    return fmt::format("{:<40} {:<7} {}{}\n{:<48} {}\n", info.code, name_of(info.asks),
                       in_general(info.title, info), on ? "" : " (turned off)", "", info.source);
}

template <class Info>
std::string in_full(const Info& info, bool on) {
    return fmt::format(
        "{}: {}\n  asks      {} (priority {}, {}){}\n  question  {}\n  expected  {}\n  why       "
        "{}\n"
        "  source    {}\n",
        info.code, in_general(info.title, info), name_of(info.asks),
        static_cast<int>(info.priority), name_of(info.kind), on ? "" : ", turned off",
        in_general(info.question, info), in_general(info.expected, info), info.why, info.source);
}

// The part of a check's section that every check has.
template <class Info>
std::string section_of(const Info& info) {
    return fmt::format(
        "\n### {}\n\n{}. Asks: **{}**, priority {}, {}.\n\n> {}\n\n- Expected: {}\n- Why: {}\n",
        info.code, in_general(info.title, info), name_of(info.asks),
        static_cast<int>(info.priority), name_of(info.kind), in_general(info.question, info),
        in_general(info.expected, info), info.why);
}

std::string limits_of(std::size_t check, const read::sourced_limits& in_force,
                      std::string_view line_start) {
    limits copy = in_force.values;
    std::string text;
    for (const limit_entry& entry : list_limits(copy)) {
        if (entry.table == check_table[check].code) {
            const auto set = in_force.set_by.find(entry.table + "." + entry.name);
            text += fmt::format(
                "{}{} = {} ({})\n", line_start, entry.name, figure(*entry.value, entry.unit),
                set == in_force.set_by.end() ? entry.source : "set in " + set->second);
        }
    }
    return text;
}

std::string names_of(std::uint32_t mask) {
    std::string text;
    for (const auto& sign : sign_table) {
        if ((mask >> index_of(sign.id) & 1U) != 0) {
            text += (text.empty() ? "" : ", ") + std::string(sign.label);
        }
    }
    return text;
}

}  // namespace

std::string catalogue_list(const read::sourced_limits& in_force) {
    std::string text;
    for (std::size_t i = 0; i < check_count; ++i) {
        text += in_one_line(check_table[i], in_force.values.is_on(i));
    }
    for (std::size_t i = 0; i < batch_check_count; ++i) {
        text +=
            in_one_line(batch_check_table[i], in_force.values.is_on(static_cast<batch_check>(i)));
    }
    return text;
}

std::string check_in_full(std::size_t check, const read::sourced_limits& in_force) {
    const check_info& info = check_table[check];
    std::string text = in_full(info, in_force.values.is_on(check));
    if (!info.context.empty()) {
        text += fmt::format("  context   {}\n", info.context);
    }
    return text + limits_of(check, in_force, "  limit     ");
}

std::string check_in_full(batch_check check, const read::sourced_limits& in_force) {
    return in_full(describe(check), in_force.values.is_on(check));
}

std::string reference_page() {
    const read::sourced_limits defaults;
    std::string text =
        "# The checks\n\n"
        "This page is generated from the catalogue (`vitalproof checks --page`); a test holds it "
        "to that.\nEvery figure is a default: an agency's medical direction may set it in a limits "
        "file. A name in\nsquare brackets stands for a charted value or a limit.\n";
    std::string_view family;
    for (std::size_t i = 0; i < check_count; ++i) {
        const check_info& info = check_table[i];
        const std::string_view of = info.code.substr(0, info.code.find('.'));
        if (of != family) {
            family = of;
            text += fmt::format("\n## {}\n", family);
        }
        text += section_of(info);
        if (check_needs[i] != 0) {
            text += fmt::format("- Needs a number for: {}\n", names_of(check_needs[i]));
        }
        if (check_sees[i] != 0) {
            text += fmt::format("- Looks at, in any state: {}\n", names_of(check_sees[i]));
        }
        if (!info.context.empty()) {
            text += fmt::format("- Context: {}\n", info.context);
        }
        text += fmt::format("- Source: {}\n", info.source) + limits_of(i, defaults, "- Limit: ");
    }
    text +=
        "\n## Whole columns\n\nThese ask whoever makes the export, not a crew. Their figures are "
        "fixed; the spans of the unit\nchecks they lean on are the default ones.\n";
    for (const batch_check_info& info : batch_check_table) {
        text += section_of(info) + fmt::format("- Source: {}\n", info.source);
    }
    return text;
}

}  // namespace vitalproof::write
