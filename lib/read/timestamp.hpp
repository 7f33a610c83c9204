// A cell's text as the time a set was taken.
// Used by every reader whose times arrive as text. Promises a valid calendar date, no guess at an
// order of day and month, and that a date without a time of day is not taken for midnight.
#pragma once

#include "read/written_time.hpp"
#include <vitalproof/vital_set.hpp>

#include <array>
#include <chrono>
#include <cstdint>
#include <string_view>

namespace vitalproof::read {

enum class time_kind : std::uint8_t {
    blank,
    clock,       ///< a date and a time of day
    elapsed,     ///< hours and minutes since a start that is not said; or a time of day
    date_only,   ///< a valid date without a time of day: no time
    clock_only,  ///< a time of day that cannot be elapsed time, without a date: no time
    undecided,   ///< which is the day and which the month is not known
    unreadable,
};

struct timestamp {
    time_kind kind = time_kind::blank;
    /// For `clock` the time as charted, fractions of a second dropped, with its offset where one
    /// is given. For `elapsed` and `clock_only` the time after 1970-01-01T00:00, for `date_only`
    /// the day's 00:00. Else meaningless.
    set_time time{};
};

/// What is known of how the times of a column are written.
struct time_rules {
    day_order order = day_order::undecided;
    bool short_years = false;  ///< years may have two digits
    bool serials = false;      ///< numbers may be a spreadsheet's days
};

/// Reads `YYYY-MM-DDTHH:MM[:SS[.fff]]`, T or blanks between, with `Z`, `+HH`, `+HHMM` or `+HH:MM`
/// behind it; elapsed `HH:MM[:SS]`, 1 to 3 digits of hours, beyond 24 hours allowed; and what
/// read_written_time() reads, by the rules. Offsets run from -12:00 to +14:00. 24:00 on a date and
/// a 60th second are unreadable. Surrounding blanks do not count.
timestamp read_timestamp(std::string_view text, const time_rules& rules = {});

/// The day last read, year first: rows that follow each other mostly have one.
struct remembered_day {
    // Some day to begin with, so that nothing but its text is taken for it.
    std::array<char, 10> written{'1', '9', '7', '0', '-', '0', '1', '-', '0', '1'};
    std::chrono::local_days day{};
};

/// `YYYY-MM-DDTHH:MM:SS` on the day last read, as nearly every time of an export is written. False,
/// and nothing read, where the text is anything else.
bool read_usual_time(std::string_view text, const remembered_day& last,
                     std::chrono::local_seconds& time);

/// The same for one time after another: a day that comes again is not worked out again.
timestamp read_timestamp(std::string_view text, const time_rules& rules, remembered_day& last);

/// Whether a time is complete: a spreadsheet's day zero, which it exports with a mere time of day,
/// is no date.
bool has_own_date(const timestamp& time);

/// The time of day of one cell on the day of another. A midnight beside the day is how dates are
/// exported; another time of day there must be the same. What lacks or cannot be read gives the
/// kind.
timestamp joined(const timestamp& day, const timestamp& clock);

}  // namespace vitalproof::read
