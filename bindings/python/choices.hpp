// What a caller says of how cells are to be read, checked in one place for frames and files.
// Used by the bindings. Promises an error that says what may be given.
#pragma once

#include "read/mapping_file.hpp"
#include "read/time_zone.hpp"
#include "read/timestamp.hpp"

#include <optional>
#include <stdexcept>
#include <string>

namespace vitalproof::python {

inline read::day_order order_named(const std::optional<std::string>& name) {
    if (!name) {
        return read::day_order::undecided;
    }
    if (*name != "day-first" && *name != "month-first") {
        throw std::invalid_argument("dates are \"day-first\" or \"month-first\", not \"" + *name +
                                    "\"");
    }
    return *name == "day-first" ? read::day_order::day_first : read::day_order::month_first;
}

inline std::optional<read::time_zone> zone_named(const std::optional<std::string>& name) {
    if (!name) {
        return std::nullopt;
    }
    auto found = read::find_time_zone(*name);
    if (!found.zone) {
        throw std::invalid_argument(found.error);
    }
    return found.zone;
}

/// The mapping in a text; `name` is what its errors call it.
inline read::column_mapping mapping_in(const std::string& toml, const std::string& name) {
    auto parsed = read::parse_mapping(toml, name);
    std::string all;
    for (const std::string& error : parsed.errors) {
        all += (all.empty() ? "" : "\n") + error;
    }
    if (!all.empty()) {
        throw std::invalid_argument(all);
    }
    return std::move(parsed.mapping);
}

}  // namespace vitalproof::python
