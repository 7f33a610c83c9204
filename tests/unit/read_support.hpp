// What the reader's tests share: sources that give little at a time or fail, and a sink that
// remembers.
#pragma once

#include "read/delimited.hpp"
#include "read/tokenizer.hpp"

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace reading {

using namespace vitalproof;
using namespace std::literals;

// Gives at most `step` bytes a call and fails behind `fails_after` bytes, if that many come.
class halting_source final : public read::byte_source {
public:
    halting_source(std::string_view text, std::size_t step,
                   std::size_t fails_after = std::string_view::npos)
        : rest_(text), step_(step), until_failure_(fails_after) {}

    std::ptrdiff_t read(char* into, std::size_t size) override {
        if (until_failure_ == 0) {
            failed_ = true;
            return -1;
        }
        const std::size_t given = std::min({size, step_, rest_.size(), until_failure_});
        std::memcpy(into, rest_.data(), given);
        rest_.remove_prefix(given);
        until_failure_ -= given;
        return static_cast<std::ptrdiff_t>(given);
    }

    std::string trouble() const override { return failed_ ? "the line went dead" : ""; }

private:
    std::string_view rest_;
    std::size_t step_;
    std::size_t until_failure_;
    bool failed_ = false;
};

struct row {
    std::vector<std::string> cells{};
    std::uint64_t line = 0;
    read::row_fault fault = read::row_fault::none;

    friend bool operator==(const row&, const row&) = default;
};

inline std::vector<row> rows_of(std::string_view text,
                                const read::tokenizer_options& options = {}) {
    read::memory_source source(text);
    read::tokenizer tokens(source, options);
    std::vector<row> rows;
    read::token_row given;
    while (tokens.next(given)) {
        rows.push_back({{given.cells.begin(), given.cells.end()}, given.line, given.fault});
    }
    return rows;
}

// The cells of rows that must all be readable.
inline std::vector<std::vector<std::string>> cells_of(std::string_view text,
                                                      const read::tokenizer_options& options = {}) {
    std::vector<std::vector<std::string>> cells;
    for (row& r : rows_of(text, options)) {
        cells.push_back(r.fault == read::row_fault::none ? std::move(r.cells)
                                                         : std::vector{"FAULT"s});
    }
    return cells;
}

struct kept_row {
    std::uint64_t line = 0;
    std::string text{};
    std::string reason{};
    std::string remedy{};
};

struct kept_note {
    read::note_kind kind{};
    std::uint64_t line = 0;
    std::string column{};
    std::string text{};
};

class memory_sink final : public read::sink {
public:
    void report(care_report& r, std::uint64_t first_line) override {
        reports.push_back(r);
        first_lines.push_back(first_line);
    }
    void unread(const read::unread_row& r) override {
        unread_rows.push_back(
            {r.line, r.text.display(), std::string(r.reason), std::string(r.remedy)});
    }
    void note(const read::cell_note& n) override {
        notes.push_back({n.kind, n.line, std::string(n.column), n.text.display()});
    }

    std::vector<care_report> reports{};
    std::vector<std::uint64_t> first_lines{};
    std::vector<kept_row> unread_rows{};
    std::vector<kept_note> notes{};
};

// A whole file, read.
struct file {
    explicit file(std::string_view text, const read::delimited_options& options = {}) {
        read::memory_source source(text);
        outcome = read::read_delimited(source, "month.csv", options, kept);
    }

    const std::vector<care_report>& reports() const { return kept.reports; }
    const vital_set& only_set() const { return kept.reports.at(0).sets.at(0); }
    std::string error() const { return outcome.error ? outcome.error->what : ""; }
    bool adds_up() const {
        return outcome.rows_read ==
               outcome.rows_examined + outcome.rows_unread + outcome.rows_other;
    }

    memory_sink kept{};
    read::delimited_outcome outcome{};
};

}  // namespace reading
