// The ways a time is written beyond the usual ones: parts in the order they stand, undecided.
// Used by read_timestamp, and by settle_times to see which order of day and month a column has.
// Promises a valid calendar date wherever the order of its parts is plain, and no guess where not.
#pragma once

#include <chrono>
#include <cstdint>
#include <optional>
#include <string_view>

namespace vitalproof::read {

/// Which of day and month stands first where a date ends in its year.
enum class day_order : std::uint8_t { undecided, day_first, month_first };

enum class date_form : std::uint8_t {
    none,         ///< a time of day alone
    year_first,   ///< 2026-03-25, 2026/3/25, 20260325
    year_last,    ///< 03/25/2026, 25.03.2026, 3-25-26: the order is the column's to say
    month_named,  ///< 25-Mar-2026, 25 March 2026, 25MAR2026, Mar 25, 2026
    serial,       ///< 46106.6056: days as a spreadsheet counts them
};

struct written_time {
    date_form form = date_form::none;
    /// The date of every form but `year_last`, whose parts are below.
    std::optional<std::chrono::local_days> day{};
    unsigned first = 0;
    unsigned second = 0;
    int year = 0;
    bool short_year = false;  ///< two digits, read as 20YY: reports are of this century
    bool dotted = false;      ///< 25.03.2026
    bool serial = false;      ///< a number of days, or the fraction of one alone
    std::string_view date{};  ///< the date as it stands
    std::optional<std::chrono::seconds> clock{};  ///< since 00:00, under 24 hours
    std::optional<std::chrono::minutes> offset{};
};

/// Reads a date, a time of day, or one behind the other; nothing where it is neither.
///
/// Times of day: `H:MM[:SS[.fff]]`, with AM or PM from 1:00 to 12:59; military `HHMM[SS]`, or
/// `HMM` where a spreadsheet dropped the first zero; a fraction of a day. 24:00 and a 60th
/// second are none. An offset may follow. Serial dates are of the 1900 system, from 1990 to 2099,
/// and rounded to the second, or to the minute where under five decimals cannot hold seconds.
/// A spreadsheet's day zero, such as 1900-01-00, before a time of day is no date.
std::optional<written_time> read_written_time(std::string_view text);

/// The date of parts by an order; nothing where they are no date in it.
std::optional<std::chrono::local_days> day_of(const written_time& written, day_order order);

}  // namespace vitalproof::read
