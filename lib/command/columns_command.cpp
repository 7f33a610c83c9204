#include "command/columns_command.hpp"

#include "command/command.hpp"
#include "command/terminal.hpp"
#include "read/byte_source.hpp"
#include "write/mapping_toml.hpp"
#include "write/summary.hpp"

#include <fmt/format.h>

namespace vitalproof::command {

namespace {

/// Stops reading after the first report: only the header is wanted.
class no_sink final : public read::sink {
    void report(care_report& /*report*/, std::uint64_t /*first_line*/) override {}
    void unread(const read::unread_row& /*row*/) override {}
};

}  // namespace

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

}  // namespace vitalproof::command
