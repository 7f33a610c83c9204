// What files of settings in TOML have in common: where something stands, and their schema.
// Used by limits files and mappings. Promises messages that name the file and the line.
#pragma once

#include <toml++/toml.h>

#include <cstdint>
#include <sstream>
#include <string>

namespace vitalproof::read {

inline std::string at_line(const std::string& file, const toml::source_region& where) {
    std::ostringstream text;
    text << file << ":" << where.begin.line << ": ";
    return text.str();
}

/// Why a text could not be parsed.
inline std::string not_toml(const std::string& file, const toml::parse_error& error) {
    std::ostringstream text;
    text << at_line(file, error.source()) << "this is not TOML: " << error.description();
    return text.str();
}

/// What is wrong with the schema a file states; empty where it is `expected`.
inline std::string wrong_schema(const std::string& file, const toml::table& root,
                                std::int64_t expected) {
    const auto schema = root["schema"].value<std::int64_t>();
    if (schema == expected) {
        return {};
    }
    return file + ": " +
           (schema ? "schema is " + std::to_string(*schema) : std::string("there is no schema")) +
           ", and this version reads schema " + std::to_string(expected) +
           ". Write \"schema = 1\" on a line before the first table, or use a version that knows "
           "the other.";
}

}  // namespace vitalproof::read
