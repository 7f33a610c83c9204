#include "command/shared_options.hpp"

#include "command/terminal.hpp"
#include "read/byte_source.hpp"
#include "read/decisions_file.hpp"
#include "read/mapping_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <memory>
#include <utility>

namespace vitalproof::command {

namespace {

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

}  // namespace

void add_limit_options(CLI::App& to, limit_options& options) {
    to.add_option("--limits", options.files,
                  "A limits file (TOML); may be given several times, later ones win")
        ->type_name("FILE");
    to.add_option("--without", options.without,
                  "Turn off a kind (clinical), a family (unit) or a check (pressure.half)")
        ->type_name("NAME");
}

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

bool names_standard_input_twice(const std::vector<std::string>& files) {
    if (std::ranges::count(files, read::standard_input) < 2) {
        return false;
    }
    print_error("vitalproof: \"-\" is given twice, but standard input can be read only once.\n");
    return true;
}

}  // namespace vitalproof::command
