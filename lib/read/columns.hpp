// How a header row is understood: what each column holds and in which unit.
// Used by read_delimited, and printed so that a user sees what was assumed.
// Promises that a column which could be two things, or two columns which could be one, is an error
// that names them, never a silent choice between vital signs.
#pragma once

#include "read/age_unit.hpp"
#include "read/charted_unit.hpp"
#include "read/timestamp.hpp"
#include <vitalproof/call.hpp>
#include <vitalproof/checks/unit_column.hpp>
#include <vitalproof/facts.hpp>
#include <vitalproof/reading.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read {

struct column_mapping;

/// What stops a whole file, and what to do about it.
struct file_error {
    std::string what;
    std::string remedy;
};

enum class column_role : std::uint8_t {
    ignored,
    report,
    crew,
    time,       ///< the time of a set, or its time of day where there is a date column
    date,       ///< the day of a set, for times without one
    call_date,  ///< the day of a call, for times of day without a date of their own
    sign,
    pressures,   ///< a whole blood pressure a cell, `120/80`
    known_fact,  ///< yes or no, about the report or set
    age,
    age_unit,  ///< of the age, row by row
    pressure_method,
    pulse_method,
    rhythm,            ///< of the heart or of the pulse, for what it says can be true
    breathing_effort,  ///< for whether breathing is assisted
    source,            ///< charted by hand or captured from a monitor
    disposition,       ///< how the call ended for its patient
    device,            ///< the monitor
    incident,          ///< the call, of which several crews may have reports
    complaint,         ///< why the call was made
    // Moments of the call, as call_time has them:
    unit_notified,
    en_route,
    on_scene,
    at_patient,
    left_scene,
    at_destination,
    transfer_of_care,
    back_in_service,
    // One row, one reading:
    sign_name,
    value,
    value_unit,
};

/// The column that holds a moment of the call.
constexpr column_role role_of(call_time which) {
    return static_cast<column_role>(static_cast<unsigned>(column_role::unit_notified) +
                                    static_cast<unsigned>(which));
}
/// The moment a column of such a role holds.
constexpr call_time call_time_of(column_role role) {
    return static_cast<call_time>(static_cast<unsigned>(role) -
                                  static_cast<unsigned>(column_role::unit_notified));
}
static_assert(role_of(call_time::at_patient) == column_role::at_patient &&
              role_of(call_time::back_in_service) == column_role::back_in_service);

/// Whether columns of the role have a unit: those of vital signs.
constexpr bool has_unit(column_role role) {
    return role == column_role::sign || role == column_role::pressures;
}

/// A stated unit that the first numbers of a column do not fit.
struct unit_doubt {
    charted_unit fits;
    checks::unit_column::counts counts;
};

/// One column as understood. Members beyond `role` are meaningful for their role alone; those of a
/// sign are of its unit for a column of pressures too.
struct column {
    std::size_t index = 0;  ///< from 0
    std::string header{};   ///< as it stands, cut to 40 printable characters
    column_role role = column_role::ignored;
    sign_id sign = sign_id::systolic;
    charted_unit unit = charted_unit::mmhg;
    std::optional<unsigned> group{};    ///< which of several sets a row it is of; none: of all
    bool unit_stated = false;           ///< the header names the unit; else it is assumed
    std::optional<unit_doubt> doubt{};  ///< of the unit, where it is stated
    method how = method::unknown;       ///< where the header says how the sign was obtained
    fact known = fact::arrest;
    std::optional<age_unit> age_in{};     ///< none where a column says it row by row
    time_rules written{};                 ///< how times are written, from the first rows
    std::string written_as{};             ///< the same in words; empty where no row showed it
    std::vector<std::string> examples{};  ///< values as charted, where they were asked for
    bool mapped = false;                  ///< a mapping says so, not the header
    std::string remark{};                 ///< what a user should know of the choice; mostly empty
};

/// What the rows of a file call a sign, where one row is one reading.
struct named_measure {
    std::string name{};  ///< as it stands, cut to 40 printable characters
    sign_id sign = sign_id::systolic;
    std::optional<charted_unit> unit{};  ///< where the name states it
    bool pressures = false;              ///< a whole blood pressure a value, `120/80`
};

/// A sign whose values are in a unit that nobody states.
struct sign_in_assumed_unit {
    sign_id sign = sign_id::systolic;
    charted_unit unit = charted_unit::mmhg;
};

/// A header row as understood.
struct understanding {
    std::vector<column> columns{};  ///< one a column of the file, in its order
    std::vector<sign_id> signs_not_carried{};
    std::vector<unsigned> groups{};  ///< the numbers of the sets a row; empty where it is one
    std::vector<std::string> assumptions{};  ///< what a user should know of the file as a whole
    bool decimal_comma = false;              ///< `36,8` is 36.8
    std::vector<named_measure> measures{};   ///< in the long form: in order of appearance
    std::vector<sign_in_assumed_unit> assumed_units{};  ///< in the long form: by its first rows
    bool resources = false;  ///< FHIR: no columns; measures are the codes that were met
    std::optional<std::string> report_stated{};  ///< of every row, in place of a column

    /// The column of a role, or of a sign; null where there is none.
    const column* find(column_role role) const;
    const column* find(sign_id sign) const;

    /// The column with the day of times that have none; null where there is none.
    const column* date_of_times() const {
        const column* of_sets = find(column_role::date);
        return of_sets != nullptr ? of_sets : find(column_role::call_date);
    }

    /// Whether one row is one reading, not a set.
    bool long_form() const { return find(column_role::value) != nullptr; }
    /// Whether some column can hold the sign, be it a whole blood pressure's.
    bool carries(sign_id sign) const;
};

struct header_outcome {
    understanding columns{};
    std::optional<file_error> error{};
};

/// Understands a header row. Case, spaces and punctuation do not count; units stand behind a name
/// or in brackets. Errors: no report column, two equally good ones, no vital sign, two columns for
/// one sign, a unit that is not one of the sign's. Where no column is a vital sign, two may name it
/// and hold its value, row by row: see long_form.hpp.
///
/// What a mapping says of a column outranks its name; a header it has and the file has not is an
/// error. Where rows need no report, a header without one is understood too.
header_outcome understand_header(std::span<const std::string_view> header,
                                 const column_mapping* mapping = nullptr,
                                 bool report_needed = true);

/// Puts a phrase behind others.
void add_phrase(std::string& text, std::string_view phrase);

/// A cell of a header for an output: at most 40 characters, anything unprintable as `?`.
std::string shown_header(std::string_view cell);

}  // namespace vitalproof::read
