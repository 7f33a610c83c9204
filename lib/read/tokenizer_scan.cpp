#include "read/tokenizer.hpp"
#include "read/tokenizer_parts.hpp"

#include <algorithm>
#include <cstring>

namespace vitalproof::read {

using detail::between;
using detail::is_line_end;
using detail::padding;
using detail::padding_byte;
using detail::quote;

// Walks the special bytes. A local of scan(), so that its members stay in registers.
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

    // The first byte that is special but no delimiter; no delimiter may stand before it.
    const char* take_other() {
        const char* p = block + lowest_mark(marks.others);
        marks.others &= marks.others - 1;
        return p;
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

struct tokenizer::quoted_cell {
    cursor at;
    std::string_view text{};
    const char* stop = nullptr;  // the delimiter, line end or end of data behind the cell
    std::uint64_t lines = 0;
    bool needs_unescaping = false;
    scanned problem = scanned::row;  // `row`: none
};

bool tokenizer::make_room() {
    if (cell_room_ >= options_.most_cells) {
        return false;
    }
    const std::size_t more = std::min(2 * cell_room_, options_.most_cells);
    auto grown = std::make_unique<std::string_view[]>(more);
    std::copy_n(cells_.get(), cell_count_, grown.get());
    cells_ = std::move(grown);
    cell_room_ = more;
    return true;
}

tokenizer::scanned tokenizer::too_long(const char* reached) {
    next_row_ = row_ + std::min(options_.longest_row, between(row_, reached));
    return scanned::too_long;
}

[[gnu::always_inline]] inline tokenizer::scanned tokenizer::end_row(cursor& at, const char* stop,
                                                                    std::uint64_t quoted_lines) {
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
    // One by one: as a pair they would be loaded right after being stored apart, a stall a row.
    marks_.delimiters = at.marks.delimiters;
    marks_.others = at.marks.others;
    return stop == row_ ? scanned::empty_line : scanned::row;
}

// Cells that end at a delimiter, until something else is met; leaves `start` at the cell behind
// them. Returns null or, when there are too many cells, the delimiter behind the last there may be.
// Inlined by force, and nothing copied: a cursor that passes through memory costs more than a cell.
[[gnu::always_inline]] inline const char* tokenizer::take_plain_cells(cursor& at,
                                                                      const char*& start) {
    for (;;) {
        const std::uint64_t before_other = (at.marks.others & (0 - at.marks.others)) - 1;
        std::uint64_t plain = at.marks.delimiters & before_other;
        if (cell_count_ + special_block >= cell_room_) {
            while (cell_count_ + count_marks(plain) >= cell_room_) {
                if (!make_room()) {
                    for (std::size_t fit = cell_room_ - cell_count_; fit > 1; --fit) {
                        plain &= plain - 1;
                    }
                    return at.block + lowest_mark(plain);
                }
            }
        }
        std::string_view* cell = cells_.get() + cell_count_;
        for (; plain != 0; plain &= plain - 1) {
            const char* stop = at.block + lowest_mark(plain);
            *cell++ = {start, between(start, stop)};
            start = stop + 1;
        }
        cell_count_ = between(cells_.get(), cell);
        at.marks.delimiters &= ~before_other;
        if (at.marks.others != 0 || !at.next_block()) {
            return nullptr;
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
        if (const char* last = take_plain_cells(at, start); last != nullptr) {
            return too_long(last);
        }
        // What stopped the plain cells is the next special byte, or the end of what was read.
        const char* p = at.marks.others == 0 ? nullptr : at.take_other();
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
