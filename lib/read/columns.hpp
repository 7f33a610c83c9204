// How a header row is understood: what each column holds and in which unit.
// Used by read_delimited, and printed so that a user sees what was assumed.
// Promises that a column which could be two things, or two columns which could be one, is an error
// that names them, never a silent choice between vital signs.
#pragma once

#include "read/charted_unit.hpp"
#include "read/timestamp.hpp"
#include <vitalproof/facts.hpp>
#include <vitalproof/reading.hpp>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read {

/// What stops a whole file, and what to do about it.
struct file_error {
    std::string what;
    std::string remedy;
};

enum class column_role : std::uint8_t {
    ignored,
    report,
    crew,
    time,  ///< the time of a set, or its time of day where there is a date column
    date,  ///< the day of a set, for times without one
    sign,
    pressures,   ///< a whole blood pressure a cell, `120/80`
    known_fact,  ///< yes or no, about the report or set
    age,
    pressure_method,
    pulse_method,
    source,  ///< charted by hand or captured from a monitor
};

enum class age_unit : std::uint8_t { years, months, days, hours, minutes };

/// One column as understood. Members beyond `role` are meaningful for their role alone; those of a
/// sign are of its unit for a column of pressures too.
struct column {
    std::size_t index = 0;  ///< from 0
    std::string header{};   ///< as it stands, cut to 40 printable characters
    column_role role = column_role::ignored;
    sign_id sign = sign_id::systolic;
    charted_unit unit = charted_unit::mmhg;
    std::optional<unsigned> group{};  ///< which of several sets a row it is of; none: of all
    bool unit_stated = false;         ///< the header names the unit; else it is assumed
    method how = method::unknown;     ///< where the header says how the sign was obtained
    fact known = fact::arrest;
    age_unit age_in = age_unit::years;
    time_rules written{};                 ///< how times are written, from the first rows
    std::string written_as{};             ///< the same in words; empty where no row showed it
    std::vector<std::string> examples{};  ///< values as charted, where they were asked for
    std::string remark{};                 ///< what a user should know of the choice; mostly empty
};

/// A header row as understood.
struct understanding {
    std::vector<column> columns{};  ///< one a column of the file, in its order
    std::vector<sign_id> signs_not_carried{};
    std::vector<unsigned> groups{};  ///< the numbers of the sets a row; empty where it is one
    std::vector<std::string> assumptions{};  ///< what a user should know of the file as a whole
    bool decimal_comma = false;              ///< `36,8` is 36.8

    /// The column of a role, or of a sign; null where there is none.
    const column* find(column_role role) const;
    const column* find(sign_id sign) const;
    /// Whether some column can hold the sign, be it a whole blood pressure's.
    bool carries(sign_id sign) const;
};

struct header_outcome {
    understanding columns{};
    std::optional<file_error> error{};
};

/// Understands a header row. Case, spaces and punctuation do not count; units stand behind a name
/// or in brackets. Errors: no report column, two equally good ones, no vital sign, two columns for
/// one sign, a unit that is not one of the sign's.
header_outcome understand_header(std::span<const std::string_view> header);

/// Puts a phrase behind others.
void add_phrase(std::string& text, std::string_view phrase);

/// A cell of a header for an output: at most 40 characters, anything unprintable as `?`.
std::string shown_header(std::string_view cell);

}  // namespace vitalproof::read
