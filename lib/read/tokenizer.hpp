// Delimited text into rows of cells, by RFC 4180 and, where that is silent, as Python's csv does.
// Used by read_delimited and whatever else meets rows. Promises bounded memory on any input, no
// allocation a row or a cell, the physical line of every row, and that a stray quote costs its own
// line at most: the rest of the file is still read.
#pragma once

#include "read/byte_source.hpp"
#include "read/special_bytes.hpp"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read {

struct tokenizer_options {
    char delimiter = ',';  ///< any ASCII character but the quote, CR, LF, NUL and DEL
    std::size_t piece_bytes = std::size_t{1} << 17;    ///< read at a time; this fits the L2 cache
    std::size_t longest_row = std::size_t{1} << 20;    ///< bytes; a longer row is a fault
    std::size_t most_cells = std::size_t{1} << 16;     ///< in a row; more is a fault
    std::size_t longest_quote = std::size_t{1} << 20;  ///< bytes before a quote must close
    std::uint64_t most_quoted_lines = 1000;            ///< line ends before a quote must close
};

/// Why a row could not be read.
enum class row_fault : std::uint8_t {
    none,
    nul,             ///< holds a NUL byte; its cells are given nevertheless
    too_long,        ///< longer than the bound, or more cells than the bound; skipped
    unclosed_quote,  ///< a quoted cell did not end in time; reading resumes at the next line
    broken_off,      ///< the source failed in the middle of the row
};

/// One row. Views are valid until the next call to next().
struct token_row {
    /// Cells without their quotes; none with a fault other than `nul`. Each is followed by at
    /// least 16 readable bytes, so that a number can be loaded without a look at its length.
    std::span<const std::string_view> cells{};
    std::string_view text{};  ///< the row's first line as it stands, cut at the bound
    std::uint64_t line = 0;   ///< physical line it begins on, from 1
    std::uint64_t lines = 1;  ///< physical lines it takes
    /// A cell has more text behind its closing quote. In a row of several lines that is how a stray
    /// quote looks which met the opening quote of a later line.
    bool text_behind_quote = false;
    row_fault fault = row_fault::none;
};

class tokenizer {
public:
    /// The source must outlive the tokenizer. Throws std::invalid_argument on a delimiter that
    /// cannot be one or a bound of zero.
    explicit tokenizer(byte_source& source, const tokenizer_options& options = {});

    /// The bytes to come: at least `wanted`, unless the source or the buffer is shorter. Consumes
    /// nothing; ends the life of the last row's views. Not behind a row with a fault, or given up.
    std::string_view peek(std::size_t wanted);

    /// Another delimiter, chosen by what was peeked. Only before the first next().
    void set_delimiter(char delimiter);

    /// The next row that is not an empty line; false at the end.
    bool next(token_row& row);

    /// Takes back the row just given: it turned out to be several lines swallowed by a stray
    /// quote. Its first line is given up and reading resumes at the line after it.
    void give_up_first_line();

    /// Why the source failed; empty when it did not.
    const std::string& trouble() const { return trouble_; }

    std::uint64_t bytes_read() const { return bytes_read_; }

private:
    enum class scanned : std::uint8_t { row, empty_line, starved, finished, too_long, unclosed };
    struct cursor;
    struct quoted_cell;

    scanned scan();
    const char* take_plain_cells(cursor& at, const char*& start);
    quoted_cell scan_quoted(cursor at, const char* open);
    quoted_cell finish_quoted(quoted_cell cell, const char* open, const char* close);
    scanned end_row(cursor& at, const char* stop, std::uint64_t quoted_lines);
    scanned too_long(const char* reached);

    void refill();
    void begin();
    void seek(char* to);
    void skip_line();
    bool make_room();
    void unescape_cells();
    std::string_view first_line(std::size_t most) const;
    void give(token_row& row, scanned how);

    byte_source& source_;
    tokenizer_options options_;
    std::size_t capacity_;
    std::unique_ptr<char[]> data_;  // capacity_ bytes and the padding behind them
    char* row_;                     // where the next row begins
    char* end_;                     // behind the last byte read
    const char* block_ = nullptr;   // 64 bytes, marked in marks_ from where reading stands
    special_marks marks_{};
    std::uint64_t line_ = 1;  // of row_
    bool at_end_ = false;
    bool begun_ = false;
    bool skipping_ = false;  // the rest of a line that was given up

    std::unique_ptr<std::string_view[]> cells_;
    std::size_t cell_room_;
    std::size_t cell_count_ = 0;
    std::vector<std::uint32_t> to_unescape_;
    std::unique_ptr<char[]> unescaped_;  // made when the first doubled quote is met
    bool has_nul_ = false;
    bool text_behind_quote_ = false;

    // Where the row just scanned ends, and the row just given, which may be taken back.
    char* next_row_ = nullptr;
    const char* text_end_ = nullptr;
    std::uint64_t next_line_ = 1;
    char* given_row_ = nullptr;
    std::uint64_t given_line_ = 1;

    std::string trouble_;
    std::uint64_t bytes_read_ = 0;
};

}  // namespace vitalproof::read
