#include "read/tokenizer.hpp"

#include "read/tokenizer_parts.hpp"

#include <algorithm>
#include <cstring>
#include <stdexcept>

namespace vitalproof::read {

using detail::between;
using detail::is_line_end;
using detail::padding;
using detail::padding_byte;
using detail::quote;

namespace {

// Room beyond the longest row for what decides its end: a quote's follower, the LF of a CRLF.
constexpr std::size_t slack = 8;

constexpr std::size_t first_cell_room = 256;

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

}  // namespace

tokenizer::tokenizer(byte_source& source, const tokenizer_options& options)
    : source_(source),
      options_(options),
      capacity_(options.longest_row + options.piece_bytes + slack),
      data_(std::make_unique_for_overwrite<char[]>(capacity_ + padding)),
      row_(data_.get()),
      end_(data_.get()),
      cell_room_(std::min(first_cell_room, options.most_cells)) {
    set_delimiter(options.delimiter);
    if (options.piece_bytes == 0 || options.longest_row == 0 || options.most_cells == 0) {
        throw std::invalid_argument("tokenizer: a bound is zero");
    }
    cells_ = std::make_unique<std::string_view[]>(cell_room_);
}

void tokenizer::set_delimiter(char delimiter) {
    if (delimiter == quote || is_line_end(delimiter) || delimiter == '\0' ||
        delimiter == padding_byte) {
        throw std::invalid_argument("tokenizer: this character cannot be a delimiter");
    }
    options_.delimiter = delimiter;
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
            case scanned::starved:
                refill();
                break;
            case scanned::finished:
                return false;
            case scanned::row:
            case scanned::too_long:
            case scanned::unclosed:
                give(row, how);
                return true;
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
            if (!to_unescape_.empty()) {
                unescape_cells();
            }
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

}  // namespace vitalproof::read
