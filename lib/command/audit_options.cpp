#include "command/audit_options.hpp"

#include "command/audit_command.hpp"
#include "command/command.hpp"
#include "command/terminal.hpp"
#include "read/decisions_file.hpp"
#include "read/timestamp.hpp"
#include "write/page.hpp"
#include <vitalproof/message.hpp>

#include <fmt/format.h>

#include <chrono>
#include <optional>
#include <utility>

namespace vitalproof::command {

namespace {

set_time now_in_utc() {
    const auto now = std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now());
    set_time at;
    at.local = std::chrono::local_seconds(now.time_since_epoch());
    at.utc_offset = std::chrono::minutes(0);
    return at;
}

std::optional<asks> level_named(const std::string& name) {
    if (name.empty()) {
        return std::nullopt;
    }
    return name == "reject" ? asks::reject : name == "query" ? asks::query : asks::notice;
}

/// Decisions that cannot be used are printed and give none.
std::optional<read::decision_list> load_decisions(const std::string& file) {
    if (!write::has_page()) {
        print_error(
            "vitalproof: --decisions is for audit.html, and this program was built without it. "
            "Build it where Node is installed.\n");
        return std::nullopt;
    }
    const auto text = read_settings(file, "decisions");
    if (!text) {
        return std::nullopt;
    }
    auto parsed = read::parse_decisions(*text, file);
    for (const std::string& error : parsed.errors) {
        print_error(fmt::format("vitalproof: {}\n", error));
    }
    return parsed.errors.empty() ? std::optional(std::move(parsed.decisions)) : std::nullopt;
}

}  // namespace

void add_audit(CLI::App& program, audit_options& options) {
    CLI::App& audit =
        *program.add_subcommand("audit", "Examine care reports and write the questions to ask");
    audit
        .add_option(
            "files", options.files,
            "Care reports as CSV: one row, one set of vital signs, or one reading by name "
            "and value; as FHIR R4 (JSON): Bundles or Observations; or as NEMSIS v3.5 (XML); "
            "- is standard input")
        ->required()
        ->type_name("FILE");
    audit
        .add_option("--into", options.into,
                    "Folder for audit.html, findings.csv, findings.jsonl, unread.csv and "
                    "audit.json; an earlier audit there is replaced, nothing else is")
        ->required()
        ->type_name("DIR");
    add_limit_options(audit, options.limits);
    add_reading_choices(audit, options.reading);
    audit
        .add_option("--decisions", options.decisions,
                    "Decisions saved from an earlier audit.html; the new one carries them on")
        ->type_name("FILE");
    audit.add_flag("--show-crews", options.show_crews,
                   "Name crews in audit.html as the files do, not by numbers");
    audit
        .add_option("--fail-on", options.fail_on,
                    "Exit with 1 when anything at or above notice, query or reject is found")
        ->check(CLI::IsMember({"notice", "query", "reject"}));
    audit
        .add_option("--as-of", options.as_of,
                    "The time the audit speaks for, such as 2026-03-01T12:00Z (default: now)")
        ->type_name("TIME");
    audit.add_flag("--strict-xml", options.strict_xml,
                   "XML that is not well-formed from first to last fails, what could be read of it "
                   "is examined all the same");
    audit
        .add_option("--threads", options.threads,
                    "How many share the work, up to 8 (default: as the machine has). The results "
                    "are the same")
        ->check(CLI::Range(1U, 1024U))
        ->type_name("N");
    audit.add_flag("--quiet", options.quiet, "No summary; files and exit status only");
    audit.footer(
        "Examples:\n"
        "  vitalproof audit week.csv --into week-audit\n"
        "  vitalproof audit *.csv --into audit --without clinical --limits agency.toml\n"
        "  ssh host cat week.csv.gz | vitalproof audit - --into week-audit\n"
        "  vitalproof audit vitals.ndjson week.csv --into week-audit\n"
        "  vitalproof audit week.csv --into audit --dates month-first --time-zone US/Eastern\n"
        "  vitalproof audit week.csv --into audit --mapping columns.toml\n"
        "  vitalproof audit week.csv --into audit --decisions decisions.json\n"
        "Exit status: 0 done, 1 --fail-on reached, 2 wrong usage, 3 an input could not be used,\n"
        "4 an output could not be written, 130 interrupted.");
}

int audit(const audit_options& options, const std::atomic<bool>& stop) {
    if (names_standard_input_twice(options.files)) {
        return wrong_usage;
    }
    audit_request request;
    const auto in_force = load_limits(options.limits);
    const auto reading = reading_options(options.reading);
    if (!in_force || !reading) {
        return wrong_usage;
    }
    request.reading = *reading;
    request.reading.strict_xml = options.strict_xml;
    request.as_of = now_in_utc();
    if (!options.as_of.empty()) {
        const auto stated = read::read_timestamp(options.as_of);
        if (stated.kind != read::time_kind::clock) {
            print_error("vitalproof: --as-of needs a date and time, such as 2026-03-01T12:00Z.\n");
            return wrong_usage;
        }
        request.as_of = stated.time;
    }
    if (!options.decisions.empty()) {
        auto decisions = load_decisions(options.decisions);
        if (!decisions) {
            return wrong_usage;
        }
        request.page.decisions = *std::move(decisions);
    }
    request.page.show_crews = options.show_crews;
    request.page.in_force = in_force->values;
    request.page.as_of = message::time(request.as_of);
    request.files = options.files;
    request.into = options.into;
    request.in_force = *in_force;
    request.fail_on = level_named(options.fail_on);
    request.quiet = options.quiet;
    request.threads = options.threads;
    return run_audit(request, stop);
}

}  // namespace vitalproof::command
