#include "command/checks_command.hpp"

#include "command/command.hpp"
#include "command/terminal.hpp"
#include "read/suggest.hpp"
#include "write/catalogue_text.hpp"
#include "write/limits_toml.hpp"

#include <fmt/format.h>

namespace vitalproof::command {

void add_checks(CLI::App& program, checks_options& options) {
    CLI::App& checks =
        *program.add_subcommand("checks", "List the checks, or explain some, with their sources");
    checks.add_option("codes", options.codes, "Checks to explain in full")->type_name("CODE");
    checks.add_flag("--page", options.page, "Print the reference page as Markdown");
    add_limit_options(checks, options.limits);
    checks.footer(
        "Examples:\n"
        "  vitalproof checks\n"
        "  vitalproof checks pressure.order unit.glucose");
}

int checks(const checks_options& options) {
    if (options.page) {
        print(write::reference_page());
        return all_well;
    }
    const auto in_force = load_limits(options.limits);
    if (!in_force) {
        return wrong_usage;
    }
    if (options.codes.empty()) {
        print(write::catalogue_list(*in_force));
    }
    int status = all_well;
    for (const std::string& code : options.codes) {
        if (const auto check = find_check(code)) {
            print(write::check_in_full(*check, *in_force));
            continue;
        }
        if (const auto check = find_batch_check(code)) {
            print(write::check_in_full(*check, *in_force));
            continue;
        }
        std::vector<std::string> known;
        known.reserve(check_table.size() + batch_check_table.size());
        for (const auto& info : check_table) {
            known.emplace_back(info.code);
        }
        for (const auto& info : batch_check_table) {
            known.emplace_back(info.code);
        }
        print_error(fmt::format("vitalproof: there is no check \"{}\".{}\n", code,
                                read::suggestion(code, known)));
        status = wrong_usage;
    }
    return status;
}

void add_limits(CLI::App& program, limit_options& options) {
    CLI::App& limits = *program.add_subcommand(
        "limits", "Print the limits in force and where each came from, as TOML to edit");
    add_limit_options(limits, options);
    limits.footer(
        "Example:\n"
        "  vitalproof limits > agency.toml\n"
        "  (edit agency.toml)\n"
        "  vitalproof audit week.csv --into week-audit --limits agency.toml");
}

int limits_command(const limit_options& options) {
    const auto in_force = load_limits(options);
    if (!in_force) {
        return wrong_usage;
    }
    print(write::limits_as_toml(*in_force));
    return all_well;
}

}  // namespace vitalproof::command
