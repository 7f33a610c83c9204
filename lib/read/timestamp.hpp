// A cell's text as the time a set was taken.
// Used by every reader whose times arrive as text. Promises a valid calendar date, no guess at a
// day-and-month order, and that a date without a time of day is not taken for midnight.
#pragma once

#include <vitalproof/vital_set.hpp>

#include <cstdint>
#include <string_view>

namespace vitalproof::read {

enum class time_kind : std::uint8_t {
    blank,
    clock,      ///< a date and a time of day
    elapsed,    ///< hours and minutes since a start that is not said
    date_only,  ///< a valid date without a time of day: no time
    unreadable,
};

struct timestamp {
    time_kind kind = time_kind::blank;
    /// For `clock` the time as charted, fractions of a second dropped, with its offset where one
    /// is given. For `elapsed` the elapsed time after 1970-01-01T00:00. Else meaningless.
    set_time time{};
};

/// Reads `YYYY-MM-DDTHH:MM[:SS[.fff]][Z|+HH:MM|+HHMM]`, T or one space between; `YYYY-MM-DD`;
/// and elapsed `HH:MM[:SS]`, 1 to 3 digits of hours, beyond 24 hours allowed. Offsets run from
/// -12:00 to +14:00. 24:00 and a 60th second are unreadable. Surrounding blanks do not count.
timestamp read_timestamp(std::string_view text);

}  // namespace vitalproof::read
