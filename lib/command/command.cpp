#include "command/command.hpp"

#include "command/audit_options.hpp"
#include "command/checks_command.hpp"
#include "command/columns_command.hpp"
#include "command/terminal.hpp"
#include <vitalproof/config.hpp>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <exception>
#include <new>
#include <string>

namespace vitalproof::command {

int run(int argc, const char* const* argv, const std::atomic<bool>& stop) {
    CLI::App program{
        "Examines the vital signs of patient care reports and says what to ask.\n"
        "A review aid, not a medical device; thresholds are for the agency's medical direction.",
        "vitalproof"};
    program.set_version_flag("--version", std::string("vitalproof ") + version);
    program.require_subcommand(1);
    audit_options for_audit;
    checks_options for_checks;
    limit_options for_limits;
    columns_options for_columns;
    add_audit(program, for_audit);
    add_checks(program, for_checks);
    add_limits(program, for_limits);
    add_columns(program, for_columns);
    program.footer(
        "Example: vitalproof audit week.csv --into week-audit\n"
        "Each command has its own --help.");
    try {
        program.parse(argc, argv);
    } catch (const CLI::ParseError& e) {
        // CLI11 prints help and errors; its own error numbers are not ours.
        return program.exit(e) == 0 ? all_well : wrong_usage;
    }
    int status = all_well;
    try {
        if (program.got_subcommand("audit")) {
            status = audit(for_audit, stop);
        } else if (program.got_subcommand("checks")) {
            status = checks(for_checks);
        } else if (program.got_subcommand("limits")) {
            status = limits_command(for_limits);
        } else {
            status = columns_command(for_columns, stop);
        }
    } catch (const std::bad_alloc&) {
        print_error("vitalproof: there is not enough memory. Nothing was written.\n");
        status = output_failed;
    } catch (const std::exception& e) {  // nothing of ours: a library or the system gave up
        print_error(fmt::format("vitalproof: gave up: {}. Nothing was written.\n", e.what()));
        status = output_failed;
    }
    return output_reached() ? status : std::max<int>(status, output_failed);
}

}  // namespace vitalproof::command
