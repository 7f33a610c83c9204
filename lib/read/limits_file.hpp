// A limits file: TOML in which an agency sets figures and turns checks off.
// Used by the program. Promises that every value carries its unit, that an unknown table or key is
// an error with a suggestion, and that each figure set is remembered with the file it came from.
#pragma once

#include <vitalproof/catalogue.hpp>

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read {

/// The limits in force and where those that are not defaults came from.
struct sourced_limits {
    limits values{};
    /// By `table.name`: the file that set it.
    std::map<std::string, std::string> set_by{};
    /// By code: the file or option that turned the check off.
    std::map<std::string, std::string> off_by{};
};

/// What is wrong with a limits file, with line where known and what to write instead.
struct limits_error {
    std::string text;
};

/// The schema this version reads and writes.
inline constexpr int limits_schema = 1;

/// Lays a limits file's text over `onto`. On errors nothing of it is taken, and all are returned.
std::vector<limits_error> apply_limits(std::string_view text, const std::string& file,
                                       sourced_limits& onto);

/// Whether no option leaves the check out: a tube that may not lie in the airway is asked about
/// whatever else is. A limits file can turn it off, and is then named in a warning.
constexpr bool is_never_left_out(std::string_view code) { return code.starts_with("tube."); }

/// Turns off a kind (`clinical`), a family (`unit`) or one check (`pressure.half`), by name;
/// returns an error with a suggestion when there is none of that name.
std::optional<limits_error> turn_off(std::string_view name, const std::string& by,
                                     sourced_limits& in);

}  // namespace vitalproof::read
