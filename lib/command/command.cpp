#include "command/command.hpp"

#include "command/audit_command.hpp"
#include "command/terminal.hpp"
#include "read/byte_source.hpp"
#include "read/decisions_file.hpp"
#include "read/delimited.hpp"
#include "read/limits_file.hpp"
#include "read/mapping_file.hpp"
#include "read/report_file.hpp"
#include "read/suggest.hpp"
#include "read/timestamp.hpp"
#include "write/catalogue_text.hpp"
#include "write/limits_toml.hpp"
#include "write/mapping_toml.hpp"
#include "write/page.hpp"
#include "write/summary.hpp"
#include <vitalproof/config.hpp>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <exception>
#include <fstream>
#include <memory>
#include <new>
#include <string>
#include <thread>
#include <vector>

namespace vitalproof::command {

namespace {

/// Options that the commands share.
struct limit_options {
    std::vector<std::string> files{};
    std::vector<std::string> without{};
};

void add_limit_options(CLI::App& to, limit_options& options) {
    to.add_option("--limits", options.files,
                  "A limits file (TOML); may be given several times, later ones win")
        ->type_name("FILE");
    to.add_option("--without", options.without,
                  "Turn off a kind (clinical), a family (unit) or a check (pressure.half)")
        ->type_name("NAME");
}

/// The text of a file of settings; one that cannot be read, or is larger than any such file could
/// be, is printed and gives none.
std::optional<std::string> read_settings(const std::string& file, std::string_view kind) {
    constexpr std::size_t most = read::most_decisions_bytes;
    std::ifstream stream(file, std::ios::binary);
    std::string text(stream.is_open() ? most + 1 : 0, '\0');
    stream.read(text.data(), static_cast<std::streamsize>(text.size()));
    text.resize(static_cast<std::size_t>(stream.gcount()));
    if (!stream.is_open() || stream.bad()) {
        print_error(fmt::format(
            "vitalproof: the {} file {} cannot be read. Check its name and that you may read it.\n",
            kind, file));
        return std::nullopt;
    }
    if (text.size() > most) {
        print_error(fmt::format(
            "vitalproof: the {} file {} is larger than 16 MiB. Check its name.\n", kind, file));
        return std::nullopt;
    }
    return text;
}

/// Defaults, then the limits files, then --without; an error is printed and gives no value.
std::optional<read::sourced_limits> load_limits(const limit_options& options) {
    read::sourced_limits in_force;
    bool sound = true;
    for (const std::string& file : options.files) {
        const auto text = read_settings(file, "limits");
        if (!text) {
            return std::nullopt;
        }
        for (const auto& error : read::apply_limits(*text, file, in_force)) {
            print_error(fmt::format("vitalproof: {}\n", error.text));
            sound = false;
        }
    }
    for (const std::string& name : options.without) {
        if (const auto error = read::turn_off(name, "--without " + name, in_force)) {
            print_error(fmt::format("vitalproof: {}\n", error->text));
            sound = false;
        }
    }
    for (const auto& [code, by] : in_force.off_by) {
        if (read::is_never_left_out(code)) {
            print_error(
                fmt::format("vitalproof: warning: {} turns off {}, the gravest question "
                            "of all\n",
                            by, code));
        }
    }
    return sound ? std::optional(in_force) : std::nullopt;
}

/// How a file is to be read, where it does not say.
struct reading_choices {
    std::string dates{};
    std::string zone{};
    std::string mapping{};
    std::uint64_t most_unpacked = read::usual_most_unpacked;
};

void add_reading_choices(CLI::App& to, reading_choices& options) {
    to.add_option("--mapping", options.mapping,
                  "A mapping (TOML) that says what each column is; it outranks their names")
        ->type_name("FILE");
    to.add_option("--dates", options.dates,
                  "Whether 03/04/2026 is 3 April (day-first) or March 4 (month-first); without it "
                  "each column's own dates decide")
        ->check(CLI::IsMember({"day-first", "month-first"}))
        ->type_name("ORDER");
    to.add_option("--time-zone", options.zone,
                  "Where times without an offset were charted, such as America/New_York")
        ->type_name("NAME");
    to.add_option("--most-unpacked", options.most_unpacked,
                  "How much a gzip archive may unpack to before it is given up, such as 200GB "
                  "(default: 64GB)")
        ->transform(CLI::AsSizeValue(false))
        ->check(CLI::Range(std::uint64_t{0}, std::uint64_t{1} << 60))  // -1 would be without end
        ->type_name("SIZE");
}

/// What is wrong with a mapping is printed and gives false.
bool load_mapping(const std::string& file, read::delimited_options& reading) {
    const auto text = read_settings(file, "mapping");
    if (!text) {
        return false;
    }
    auto parsed = read::parse_mapping(*text, file);
    for (const std::string& error : parsed.errors) {
        print_error(fmt::format("vitalproof: {}\n", error));
    }
    reading.mapping = std::make_shared<read::column_mapping>(std::move(parsed.mapping));
    return parsed.errors.empty();
}

/// An unknown zone and a mapping that cannot be used are printed and give no value.
std::optional<read::delimited_options> reading_options(const reading_choices& options) {
    read::delimited_options reading;
    reading.most_unpacked = options.most_unpacked;
    if (!options.mapping.empty() && !load_mapping(options.mapping, reading)) {
        return std::nullopt;
    }
    if (!options.dates.empty()) {
        reading.dates = options.dates == "day-first" ? read::day_order::day_first
                                                     : read::day_order::month_first;
    }
    if (!options.zone.empty()) {
        const auto found = read::find_time_zone(options.zone);
        if (!found.zone) {
            print_error(fmt::format("vitalproof: {}\n", found.error));
            return std::nullopt;
        }
        reading.zone = found.zone;
    }
    return reading;
}

set_time now_in_utc() {
    const auto now = std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now());
    set_time at;
    at.local = std::chrono::local_seconds(now.time_since_epoch());
    at.utc_offset = std::chrono::minutes(0);
    return at;
}

struct audit_options {
    std::vector<std::string> files{};
    std::string into{};
    limit_options limits{};
    reading_choices reading{};
    std::string fail_on{};
    unsigned threads = std::max(1U, std::thread::hardware_concurrency());
    std::string as_of{};
    std::string decisions{};
    bool show_crews = false;
    bool strict_xml = false;
    bool quiet = false;
};

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
                    "1 reads, examines and writes in turn; with more, one thread reads while "
                    "others examine and write (default: as the machine has). The results are the "
                    "same")
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

std::optional<asks> level_named(const std::string& name) {
    if (name.empty()) {
        return std::nullopt;
    }
    return name == "reject" ? asks::reject : name == "query" ? asks::query : asks::notice;
}

/// Standard input can be read once; a second `-` is an error, and printed.
bool names_standard_input_twice(const std::vector<std::string>& files) {
    if (std::ranges::count(files, read::standard_input) < 2) {
        return false;
    }
    print_error("vitalproof: \"-\" is given twice, but standard input can be read only once.\n");
    return true;
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

struct checks_options {
    std::vector<std::string> codes{};
    limit_options limits{};
    bool page = false;
};

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

struct columns_options {
    std::vector<std::string> files{};
    reading_choices reading{};
    bool as_mapping = false;
};

void add_columns(CLI::App& program, columns_options& options) {
    CLI::App& columns =
        *program.add_subcommand("columns", "Show how the columns of a file are understood");
    columns
        .add_option("files", options.files, "Care reports as CSV, FHIR or XML; - is standard input")
        ->required()
        ->type_name("FILE");
    add_reading_choices(columns, options.reading);
    columns.add_flag("--as-mapping", options.as_mapping,
                     "Print it as a mapping to edit and give back with --mapping; for one file");
    columns.footer(
        "Examples:\n"
        "  vitalproof columns week.csv\n"
        "  vitalproof columns week.csv --dates day-first\n"
        "  vitalproof columns week.csv --as-mapping > columns.toml\n"
        "  (edit columns.toml)\n"
        "  vitalproof columns week.csv --mapping columns.toml");
}

/// Stops reading after the first report: only the header is wanted.
class no_sink final : public read::sink {
    void report(care_report& /*report*/, std::uint64_t /*first_line*/) override {}
    void unread(const read::unread_row& /*row*/) override {}
};

int columns_command(const columns_options& options, const std::atomic<bool>& stop) {
    if (options.as_mapping && options.files.size() > 1) {
        print_error("vitalproof: --as-mapping is for one file, and several are given.\n");
        return wrong_usage;
    }
    constexpr std::size_t examples_shown = 3;
    auto reading = reading_options(options.reading);
    if (!reading || names_standard_input_twice(options.files)) {
        return wrong_usage;
    }
    reading->examples = examples_shown;
    int status = all_well;
    for (const std::string& file : options.files) {
        const std::string name = read::shown_name(file);
        no_sink sink;
        auto outcome = read::read_report_file(file, *reading, sink, &stop);
        if (options.as_mapping && outcome.columns.resources && !outcome.error) {
            outcome.error = read::file_error{"this is FHIR: it has no columns to map",
                                             "read it as it is; its codes say what it holds"};
        } else if (options.as_mapping && outcome.columns.columns.empty() && !outcome.error) {
            outcome.error = read::file_error{"this is XML: it has no columns to map",
                                             "read it as it is; its elements say what it holds"};
        }
        if (!outcome.error) {
            print(options.as_mapping ? write::mapping_as_toml(name, outcome.columns)
                                     : write::columns_text(name, outcome.columns));
        }
        if (outcome.error) {
            print_error(
                fmt::format("vitalproof: {}: {}\n", name, write::error_text(*outcome.error)));
            status = input_failed;
        }
        if (stop) {
            return interrupted;
        }
    }
    return status;
}

}  // namespace

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
