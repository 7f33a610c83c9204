// Options that several commands have, and what they come to.
// Used by the commands. Promises that what is wrong with a file of settings is printed, every error
// of it, and gives no value.
#pragma once

#include "read/delimited.hpp"
#include "read/limits_file.hpp"
#include "read/report_file.hpp"

#include <CLI/CLI.hpp>

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::command {

/// Which limits are in force.
struct limit_options {
    std::vector<std::string> files{};
    std::vector<std::string> without{};
};

void add_limit_options(CLI::App& to, limit_options& options);

/// Defaults, then the limits files, then --without; an error is printed and gives no value.
std::optional<read::sourced_limits> load_limits(const limit_options& options);

/// How a file is to be read, where it does not say.
struct reading_choices {
    std::string dates{};
    std::string zone{};
    std::string mapping{};
    std::uint64_t most_unpacked = read::usual_most_unpacked;
};

void add_reading_choices(CLI::App& to, reading_choices& options);

/// An unknown zone and a mapping that cannot be used are printed and give no value.
std::optional<read::delimited_options> reading_options(const reading_choices& options);

/// The text of a file of settings; one that cannot be read, or is larger than any such file could
/// be, is printed and gives none.
std::optional<std::string> read_settings(const std::string& file, std::string_view kind);

/// Standard input can be read once; a second `-` is an error, and printed.
bool names_standard_input_twice(const std::vector<std::string>& files);

}  // namespace vitalproof::command
