// Delimited text into care reports: a row is one set, several where its columns repeat with a
// number, or in the long form one reading of a set; the rows with one identifier are a report. Used
// by the audit. Promises that every row is accounted for (read = examined + unread + other), that
// bad data never throws, and no allocation a row once buffers have grown.
#pragma once

#include "read/byte_source.hpp"
#include "read/columns.hpp"
#include "read/gzip_source.hpp"
#include "read/report_gatherer.hpp"
#include "read/time_zone.hpp"
#include "read/tokenizer.hpp"
#include <vitalproof/care_report.hpp>

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read {

struct delimited_options {
    tokenizer_options text{};  ///< where it names the comma, the header decides on the delimiter
    co2_percent_basis co2{};   ///< for an exhaled CO2 column in percent
    /// Which of day and month stands first in dates like 03/04/2026; undecided: the file's own
    /// dates decide, column by column.
    day_order dates = day_order::undecided;
    std::shared_ptr<const column_mapping> mapping{};  ///< what its user says of the columns
    std::optional<time_zone> zone{};  ///< where times without an offset were charted
    bool strict_xml = false;          ///< XML that is not well-formed from first to last fails
    std::uint64_t most_unpacked = usual_most_unpacked;  ///< bytes that an archive may unpack to
    std::size_t examples = 0;  ///< distinct values to remember of each sign and time column
    /// How far apart the rows of one report may lie. A longer report comes in several pieces, so
    /// that a file with one identifier throughout does not fill the memory.
    gathering_bounds gathering{};
};

/// A row that could not be read. Views are valid during the call only.
struct unread_row {
    std::string_view file;
    std::uint64_t line = 0;
    std::string_view column{};  ///< empty where the whole row is meant
    charted_text text{};
    std::string_view reason;
    std::string_view remedy;
};

enum class note_kind : std::uint8_t {
    unreadable_time,
    date_without_time,
    time_without_date,
    undecided_date,  ///< a time not used: which is the day and which the month is not known
    unplaced_time,   ///< a time without an offset: a change of clocks skips or repeats it
    unreadable_age,
    unreadable_context,  ///< a yes-or-no, method or source cell that is none of its words
};

/// A cell beside the vital signs that could not be used; its row is examined all the same.
struct cell_note {
    note_kind kind;
    std::uint64_t line = 0;
    std::string_view column;
    charted_text text{};
};

/// Receives what is read.
class sink {
public:
    virtual ~sink() = default;

    /// Once, before anything else: how the columns are understood. Good until the outcome is given.
    virtual void understood(const understanding& /*columns*/) {}

    /// The rows of one report, at least one set. The report's buffers are used again after the
    /// call: take what is needed, or swap it out.
    virtual void report(care_report& report, std::uint64_t first_line) = 0;
    virtual void unread(const unread_row& row) = 0;
    virtual void note(const cell_note&) {}
};

/// How often something happened, and where first.
struct tally_of_lines {
    std::uint64_t count = 0;
    std::uint64_t first_line = 0;

    void add(std::uint64_t line) {
        if (count++ == 0) {
            first_line = line;
        }
    }
    /// What was met behind all that was added before.
    void add(const tally_of_lines& later) {
        if (count == 0) {
            first_line = later.first_line;
        }
        count += later.count;
    }
};

/// A code and how often it stood.
struct counted_code {
    std::string code{};
    std::uint64_t count = 0;
};

struct delimited_outcome {
    /// What stopped the file, wholly (nothing was read) or part-way (what was read stays).
    std::optional<file_error> error{};
    understanding columns{};

    std::uint64_t rows_read =
        0;  ///< examined + unread + other; the header and empty lines are none
    std::uint64_t rows_examined = 0;
    std::uint64_t rows_unread = 0;
    std::uint64_t rows_other = 0;        ///< without any vital sign
    std::uint64_t reports = 0;           ///< given to the sink
    std::uint64_t runs_joined = 0;       ///< to earlier rows of their report, others' rows between
    tally_of_lines identifiers_again{};  ///< where a report could not be joined to its namesake

    tally_of_lines unreadable_times{};
    tally_of_lines dates_without_time{};
    tally_of_lines times_without_date{};
    tally_of_lines undecided_dates{};
    tally_of_lines unplaced_times{};
    tally_of_lines elapsed_times{};
    tally_of_lines unreadable_ages{};
    tally_of_lines unreadable_context{};
    std::vector<counted_code> unknown_codes{};  ///< of FHIR: what its Observations are else

    // Of the bytes as they lie on disk, whatever they unpack to.
    std::uint64_t bytes = 0;
    std::string digest{};  ///< XXH3-128 of all bytes read, 32 hexadecimal digits
};

/// Reads a source to its end. `file_name` is what unread rows call it; errors do not name it.
/// gzip is unpacked; UTF-16 and Windows-1252 are told from UTF-8, and the comma from the semicolon,
/// tab and vertical bar, once, by the first bytes: what was chosen stands in the assumptions.
/// The header is the first of 20 lines that names a report and a vital sign; lines above it are not
/// read, and said.
///
/// A row with more non-empty cells than the header, without a report identifier, with a NUL byte,
/// too long, or begun by a quote that does not close is unread. Missing cells at the end are blank.
/// A row whose every vital-sign cell is empty is other; "refused" is not empty.
///
/// In the long form consecutive rows of one report with the same time, compared as text, are one
/// set, until a sign comes twice. A row that names no vital sign, or has no value, is other.
delimited_outcome read_delimited(byte_source& source, std::string_view file_name,
                                 const delimited_options& options, sink& into);

/// The same for a file by its path; one that cannot be opened is an error in the outcome.
delimited_outcome read_delimited_file(const std::string& path, const delimited_options& options,
                                      sink& into);

}  // namespace vitalproof::read
