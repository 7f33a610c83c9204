#include "read/tokenizer.hpp"

#include <algorithm>
#include <bit>
#include <cstring>
#include <stdexcept>

namespace vitalproof::read {

namespace {

constexpr char quote = '"';

// Behind the last byte read, so that blocks and numbers may be loaded across the end. DEL is
// never special and cannot be a delimiter.
constexpr std::size_t padding = 2 * special_block;
constexpr char padding_byte = '\x7F';

// Room beyond the longest row for what decides its end: a quote's follower, the LF of a CRLF.
constexpr std::size_t slack = 8;

constexpr std::size_t first_cell_room = 256;
constexpr std::size_t cell_slack = 8;  // cells are written eight at a time

bool is_line_end(char c) { return c == '\n' || c == '\r'; }

// Line ends between two places, CRLF counting once.
std::uint64_t count_line_ends(const char* from, const char* to) {
    std::uint64_t count = 0;
    for (; from != to; ++from) {
        if (*from == '\n' || (*from == '\r' && (from + 1 == to || from[1] != '\n'))) {
            ++count;
        }
    }
    return count;
}

template <class T>
std::size_t between(const T* from, const T* to) {
    return static_cast<std::size_t>(to - from);
}

}  // namespace

// Walks the special bytes. Passed by value: its members stay in registers.
struct tokenizer::cursor {
    const char* block;
    special_marks marks;
    const char* end;
    char delimiter;

    bool next_block() {
        block += special_block;
        if (block >= end) {
            marks = {};
            return false;
        }
        marks = mark_special(block, delimiter);
        return true;
    }

    // The next special byte; null when there is none before the end of what was read.
    const char* next() {
        while (marks.none()) {
            if (!next_block()) {
                return nullptr;
            }
        }
        const std::uint64_t all = marks.delimiters | marks.others;
        const std::uint64_t rest = all & (all - 1);
        marks.delimiters &= rest;
        marks.others &= rest;
        return block + lowest_mark(all);
    }
};

struct tokenizer::plain_cells {
    cursor at;
    const char* start;               // of the cell behind them
    const char* too_many = nullptr;  // the delimiter behind the last cell there may be
};

struct tokenizer::quoted_cell {
    cursor at;
    std::string_view text{};
    const char* stop = nullptr;  // the delimiter, line end or end of data behind the cell
    std::uint64_t lines = 0;
    bool needs_unescaping = false;
    scanned problem = scanned::row;  // `row`: none
};

tokenizer::tokenizer(byte_source& source, const tokenizer_options& options)
    : source_(source),
      options_(options),
      capacity_(options.longest_row + options.piece_bytes + slack),
      data_(std::make_unique_for_overwrite<char[]>(capacity_ + padding)),
      row_(data_.get()),
      end_(data_.get()),
      cell_room_(std::min(first_cell_room, options.most_cells)) {
    const char d = options.delimiter;
    if (d == quote || is_line_end(d) || d == '\0' || d == padding_byte) {
        throw std::invalid_argument("tokenizer: this character cannot be a delimiter");
    }
    if (options.piece_bytes == 0 || options.longest_row == 0 || options.most_cells == 0) {
        throw std::invalid_argument("tokenizer: a bound is zero");
    }
    cells_ = std::make_unique<std::string_view[]>(cell_room_ + cell_slack);
}

std::string_view tokenizer::peek(std::size_t wanted) {
    while (!at_end_ && between(row_, end_) < std::min(wanted, options_.longest_row)) {
        refill();
    }
    return {row_, between(row_, end_)};
}

void tokenizer::begin() {
    begun_ = true;
    constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
    while (!at_end_ && between(row_, end_) < byte_order_mark.size()) {
        refill();
    }
    if (std::string_view(row_, between(row_, end_)).starts_with(byte_order_mark)) {
        row_ += byte_order_mark.size();
    }
    seek(row_);
}

bool tokenizer::next(token_row& row) {
    if (!begun_) {
        begin();
    }
    if (skipping_) {
        skip_line();
    }
    for (;;) {
        const scanned how = scan();
        switch (how) {
            case scanned::empty_line:
                row_ = next_row_;
                line_ = next_line_;
                break;
            case scanned::starved: refill(); break;
            case scanned::finished: return false;
            case scanned::row:
            case scanned::too_long:
            case scanned::unclosed: give(row, how); return true;
        }
    }
}

void tokenizer::give(token_row& row, scanned how) {
    given_row_ = row_;
    given_line_ = line_;
    row.line = line_;
    row.lines = 1;
    row.cells = {};
    row.text_behind_quote = false;
    if (how == scanned::row) {
        row.lines = std::max<std::uint64_t>(1, next_line_ - line_);
        row.text_behind_quote = text_behind_quote_;
        row.fault = has_nul_ ? row_fault::nul : row_fault::none;
        if (text_end_ == end_ && !trouble_.empty()) {
            row.fault = row_fault::broken_off;
        } else {
            unescape_cells();
            row.cells = {cells_.get(), cell_count_};
        }
        row.text = row.lines == 1 ? std::string_view(row_, between(row_, text_end_))
                                  : first_line(between(row_, text_end_));
        row_ = next_row_;
        line_ = next_line_;
        return;
    }
    skipping_ = true;
    row.fault = how == scanned::too_long ? row_fault::too_long : row_fault::unclosed_quote;
    row.text = first_line(std::min(options_.longest_row, options_.longest_quote));
    if (how == scanned::too_long) {
        line_ += count_line_ends(row_, next_row_);
        row_ = next_row_;
    }
}

void tokenizer::give_up_first_line() {
    row_ = given_row_;
    line_ = given_line_;
    skipping_ = true;
}

std::string_view tokenizer::first_line(std::size_t most) const {
    const char* limit = row_ + std::min(most, between(row_, end_));
    return {row_, between(row_, std::find_if(static_cast<const char*>(row_), limit, is_line_end))};
}

void tokenizer::seek(char* to) {
    row_ = to;
    block_ = to;
    marks_ = to < end_ ? mark_special(to, options_.delimiter) : special_marks{};
}

// Moves what is left of the current row to the front and reads behind it: a piece, or as much
// again as the row already has, so that a long row met in small pieces is not scanned over and
// over. Reads until it has that much, because a pipe gives little at a time.
void tokenizer::refill() {
    const std::size_t kept = between(row_, end_);
    std::memmove(data_.get(), row_, kept);
    row_ = data_.get();
    end_ = row_ + kept;
    std::size_t wanted = std::min(std::max(options_.piece_bytes, kept), capacity_ - kept);
    while (wanted > 0 && !at_end_) {
        const std::ptrdiff_t got = source_.read(end_, wanted);
        if (got <= 0) {
            at_end_ = true;
            trouble_ = got < 0 ? source_.trouble() : std::string{};
            break;
        }
        end_ += got;
        wanted -= static_cast<std::size_t>(got);
        bytes_read_ += static_cast<std::uint64_t>(got);
    }
    std::memset(end_, padding_byte, padding);
    seek(row_);
}

void tokenizer::skip_line() {
    skipping_ = false;
    for (;;) {
        char* found = std::find_if(row_, end_, is_line_end);
        const bool undecided = found == end_ || (*found == '\r' && found + 1 == end_);
        if (undecided && !at_end_) {
            row_ = found;
            refill();
            continue;
        }
        if (found != end_) {
            found += *found == '\r' && found + 1 != end_ && found[1] == '\n' ? 2 : 1;
            ++line_;
        }
        seek(found);
        return;
    }
}

// Cells that end at a delimiter, until something else is met.
inline tokenizer::plain_cells tokenizer::take_plain_cells(cursor at, const char* start) {
    for (;;) {
        const std::uint64_t before_other = (at.marks.others & (0 - at.marks.others)) - 1;
        std::uint64_t plain = at.marks.delimiters & before_other;
        if (cell_count_ + special_block >= cell_room_) {
            while (cell_count_ + count_marks(plain) >= cell_room_) {
                if (!make_room()) {
                    for (std::size_t fit = cell_room_ - cell_count_; fit > 1; --fit) {
                        plain &= plain - 1;
                    }
                    return {at, start, at.block + lowest_mark(plain)};
                }
            }
        }
        std::string_view* cell = cells_.get() + cell_count_;
        for (; plain != 0; plain &= plain - 1) {
            const char* stop = at.block + std::countr_zero(plain);
            *cell++ = {start, between(start, stop)};
            start = stop + 1;
        }
        cell_count_ = between(cells_.get(), cell);
        at.marks.delimiters &= ~before_other;
        if (at.marks.others != 0 || !at.next_block()) {
            return {at, start};
        }
    }
}

// Nearly every special byte is a delimiter behind an unquoted cell: those are taken first, at
// speed; everything else after them.
tokenizer::scanned tokenizer::scan() {
    cursor at{block_, marks_, end_, options_.delimiter};
    const char delimiter = options_.delimiter;
    const char* start = row_;
    std::uint64_t quoted_lines = 0;
    cell_count_ = 0;
    has_nul_ = false;
    text_behind_quote_ = false;
    to_unescape_.clear();
    for (;;) {
        const plain_cells plain = take_plain_cells(at, start);
        if (plain.too_many != nullptr) {
            return too_long(plain.too_many);
        }
        at = plain.at;
        start = plain.start;
        const char* p = at.next();
        std::string_view text;
        if (p == nullptr) {
            if (between(row_, end_) > options_.longest_row) {
                return too_long(end_);
            }
            if (!at_end_) {
                return scanned::starved;
            }
            if (row_ == end_) {
                return scanned::finished;
            }
            p = end_;
        } else if (*p == quote && p == start) {
            const quoted_cell quoted = scan_quoted(at, p);
            if (quoted.problem != scanned::row) {
                return quoted.problem;
            }
            if (quoted.needs_unescaping) {
                to_unescape_.push_back(static_cast<std::uint32_t>(cell_count_));
            }
            at = quoted.at;
            quoted_lines += quoted.lines;
            p = quoted.stop;
            text = quoted.text;
        } else if (!is_line_end(*p)) {
            has_nul_ |= *p == '\0';
            continue;
        }
        cells_[cell_count_++] =
            text.data() != nullptr ? text : std::string_view{start, between(start, p)};
        if (p == end_ || *p != delimiter) {
            return end_row(at, p, quoted_lines);
        }
        start = p + 1;
        if (cell_count_ >= cell_room_ && !make_room()) {
            return too_long(p);
        }
    }
}

bool tokenizer::make_room() {
    if (cell_room_ >= options_.most_cells) {
        return false;
    }
    const std::size_t more = std::min(2 * cell_room_, options_.most_cells);
    auto grown = std::make_unique<std::string_view[]>(more + cell_slack);
    std::copy_n(cells_.get(), cell_count_, grown.get());
    cells_ = std::move(grown);
    cell_room_ = more;
    return true;
}

tokenizer::scanned tokenizer::too_long(const char* reached) {
    next_row_ = row_ + std::min(options_.longest_row, between(row_, reached));
    return scanned::too_long;
}

tokenizer::scanned tokenizer::end_row(cursor at, const char* stop, std::uint64_t quoted_lines) {
    if (between(row_, stop) > options_.longest_row) {
        return too_long(stop);
    }
    const char* behind = stop;
    if (stop != end_) {
        ++behind;
        if (*stop == '\r') {
            if (behind == end_ && !at_end_) {
                return scanned::starved;
            }
            if (behind != end_ && *behind == '\n') {
                at.next();
                ++behind;
            }
        }
    }
    next_row_ = row_ + (behind - row_);
    text_end_ = stop;
    next_line_ = line_ + quoted_lines + (stop != end_ ? 1 : 0);
    block_ = at.block;
    marks_ = at.marks;
    return stop == row_ ? scanned::empty_line : scanned::row;
}

// From the opening quote to whatever ends the cell. A quoted cell is given up by rules that do not
// depend on where pieces end: bytes since the quote, bytes since the row began, line ends passed.
tokenizer::quoted_cell tokenizer::scan_quoted(cursor at, const char* open) {
    quoted_cell cell{.at = at};
    const std::size_t before = between(row_, open);
    if (before > options_.longest_row) {
        cell.problem = too_long(open);
        return cell;
    }
    const std::size_t most = std::min(options_.longest_quote, options_.longest_row - before);
    for (;;) {
        const char* p = cell.at.next();
        if (between(open, p == nullptr ? end_ : p) > most || (p == nullptr && at_end_)) {
            cell.problem = scanned::unclosed;
            return cell;
        }
        if (p == nullptr || (p + 1 == end_ && !at_end_)) {
            cell.problem = scanned::starved;
            return cell;
        }
        const char follower = p + 1 == end_ ? '\n' : p[1];
        if (*p == quote && follower != quote) {
            return finish_quoted(cell, open, p);
        }
        if (*p == quote) {
            cell.at.next();
            cell.needs_unescaping = true;
        } else if (*p == '\n' || (*p == '\r' && (follower != '\n' || p + 1 == end_))) {
            if (++cell.lines > options_.most_quoted_lines) {
                cell.problem = scanned::unclosed;
                return cell;
            }
        } else {
            has_nul_ |= *p == '\0';
        }
    }
}

// Behind the closing quote: the end of the cell or, as Python has it, more literal text.
tokenizer::quoted_cell tokenizer::finish_quoted(quoted_cell cell, const char* open,
                                                const char* close) {
    const char* behind = close + 1;
    const char* p = cell.at.next();
    while (p != nullptr && *p != options_.delimiter && !is_line_end(*p)) {
        has_nul_ |= *p == '\0';
        p = cell.at.next();
    }
    if (p == nullptr) {
        if (between(row_, end_) > options_.longest_row) {
            cell.problem = too_long(end_);
        } else if (!at_end_) {
            cell.problem = scanned::starved;
        }
        p = end_;
    }
    cell.stop = p;
    cell.needs_unescaping |= p != behind;
    text_behind_quote_ |= p != behind;
    cell.text = {open + 1, between(open + 1, cell.needs_unescaping ? p : close)};
    return cell;
}

// Writes cells with doubled quotes, or text behind their closing quote, to a buffer of their own:
// the row itself stays as it is, in case it is taken back.
void tokenizer::unescape_cells() {
    if (to_unescape_.empty()) {
        return;
    }
    if (!unescaped_) {
        unescaped_ = std::make_unique_for_overwrite<char[]>(options_.longest_row + padding);
    }
    char* out = unescaped_.get();
    for (const std::uint32_t index : to_unescape_) {
        std::string_view& cell = cells_[index];
        const char* const begin = out;
        bool inside = true;
        for (std::size_t i = 0; i < cell.size(); ++i) {
            if (inside && cell[i] == quote) {
                if (i + 1 == cell.size() || cell[i + 1] != quote) {
                    inside = false;
                    continue;
                }
                ++i;
            }
            *out++ = cell[i];
        }
        cell = {begin, between(begin, out)};
    }
    std::memset(out, padding_byte, padding);
}

}  // namespace vitalproof::read
