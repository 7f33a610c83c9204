#include "read/delimited.hpp"

#include "read/column_groups.hpp"
#include "read/counted_complaints.hpp"
#include "read/digesting_source.hpp"
#include "read/examples.hpp"
#include "read/file_header.hpp"
#include "read/measure_reader.hpp"
#include "read/past_midnight.hpp"
#include "read/report_cells.hpp"
#include "read/row_reader.hpp"
#include "read/text.hpp"
#include "read/text_source.hpp"

#include <algorithm>
#include <vector>

namespace vitalproof::read {

namespace {

constexpr std::string_view close_or_remove = "close the quote, or remove it";

class delimited_reader final : private report_taker {
public:
    delimited_reader(byte_source& source, std::string_view file_name,
                     const delimited_options& options, sink& into)
        : options_(options),
          file_name_(file_name),
          into_(into),
          bytes_(source),
          text_(bytes_, options.most_unpacked),
          tokens_(text_, options.text),
          zone_(options.zone),
          gatherer_(*this, options.gathering) {}

    delimited_outcome run() {
        if (understand()) {
            into_.understood(outcome_.columns);
            read_rows();
            say_elapsed();
            if (measures_) {
                measures_->say_what_was_read();
            }
        }
        if (!tokens_.trouble().empty()) {
            outcome_.error =
                file_error{"reading broke off after " + std::to_string(bytes_.bytes()) +
                               " bytes: " + tokens_.trouble(),
                           "check the disk, connection or archive and read it again; rows before "
                           "this were read"};
        }
        outcome_.rows_read = outcome_.rows_examined + outcome_.rows_unread + outcome_.rows_other;
        outcome_.bytes = bytes_.bytes();
        outcome_.digest = bytes_.digest();
        return std::move(outcome_);
    }

private:
    bool understand();
    void say_elapsed();
    void read_rows();
    template <bool ReportStated>
    void take_rows();
    template <bool ReportStated>
    void take_row(const token_row& row);
    template <bool ReportStated>
    void take_cells(const token_row& row, std::span<const std::string_view> cells);
    bool fit_to_header(const token_row& row, std::span<const std::string_view>& cells);
    void take_set(std::span<const std::string_view> cells, std::string_view id, std::uint64_t line,
                  bool goes_on);
    void take_reading(std::span<const std::string_view> cells, std::string_view id,
                      std::uint64_t line);
    void begin_run(std::string_view id);
    bool take_groups(std::span<const std::string_view> cells, std::uint64_t line);
    bool is_header_again(std::span<const std::string_view> cells) const;
    void place_past_midnight(std::span<vital_set> sets);
    void hand_over();
    void refuse(const token_row& row, std::string_view reason, std::string_view remedy);
    void refuse_fault(const token_row& row);
    void refuse_as_swallowed(const token_row& row);

    void take(care_report& report, std::uint64_t first_line) override {
        ++outcome_.reports;
        if (has_call_dates_) [[unlikely]] {
            place_past_midnight(report.sets);
        }
        into_.report(report, first_line);
    }
    void identifier_again(std::uint64_t line) override { outcome_.identifiers_again.add(line); }

    const delimited_options& options_;
    std::string_view file_name_;
    sink& into_;
    digesting_source bytes_;
    text_source text_;
    tokenizer tokens_;
    std::optional<time_zone> zone_;
    delimited_outcome outcome_{};

    std::optional<row_reader> rows_;
    std::optional<measure_reader> measures_;  // in the long form
    std::vector<understanding> groups_;       // where a row holds several sets, and their readers
    std::vector<row_reader> group_rows_;
    std::string delimiter_;  // its name
    std::vector<std::string> header_;
    const column* report_column_ = nullptr;
    std::optional<report_cells> report_cells_;
    counted_complaints complaints_{outcome_, into_};
    std::vector<std::string_view> padded_;

    report_gatherer gatherer_;
    care_report* report_ = nullptr;  // the run of rows that is being read, in its gatherer
    bool open_ = false;
    bool has_call_dates_ = false;
    std::uint64_t first_line_ = 0;
};

bool delimited_reader::understand() {
    outcome_.error = text_.open();
    if (outcome_.error) {
        return false;
    }
    const time_zone* zone = zone_ ? &*zone_ : nullptr;
    file_header header = read_file_header(text_, tokens_, options_, zone);
    header_ = std::move(header.cells);
    delimiter_ = std::move(header.delimiter);
    outcome_.columns = std::move(header.columns);
    outcome_.error = std::move(header.error);
    if (outcome_.error) {
        return false;
    }
    if (outcome_.columns.long_form()) {
        measures_.emplace(outcome_.columns, options_.co2, options_.mapping.get(), complaints_);
        outcome_.error = measures_->look_ahead(tokens_, header.text);
    }
    if (options_.examples != 0) {
        gather_examples(outcome_.columns, tokens_, header.text, options_.examples);
    }
    return !outcome_.error;
}

void delimited_reader::say_elapsed() {
    const tally_of_lines& elapsed = outcome_.elapsed_times;
    for (column& c : outcome_.columns.columns) {
        if (c.role == column_role::time && elapsed.count != 0) {
            add_phrase(c.remark, "times without a date (" + std::to_string(elapsed.count) +
                                     ", first in line " + std::to_string(elapsed.first_line) +
                                     ") are read as hours and minutes since a start that is not "
                                     "said");
        }
    }
}

void delimited_reader::read_rows() {
    time_zone* zone = zone_ ? &*zone_ : nullptr;
    groups_ = by_group(outcome_.columns);
    if (!groups_.empty()) {
        complaints_.expect_groups();
    }
    for (const understanding& group : groups_) {
        group_rows_.emplace_back(group, options_.co2, complaints_, zone);
    }
    // Where rows hold several sets it has no sign, so that it fills none and leaves them to
    // take_groups(): no other file pays for the question.
    const understanding no_columns;
    rows_.emplace(groups_.empty() ? outcome_.columns : no_columns, options_.co2, complaints_, zone);
    report_column_ = outcome_.columns.find(column_role::report);
    has_call_dates_ = outcome_.columns.find(column_role::call_date) != nullptr;
    report_cells_.emplace(outcome_.columns, zone_, complaints_);
    outcome_.columns.report_stated ? take_rows<true>() : take_rows<false>();
    hand_over();
    gatherer_.finish();
    outcome_.runs_joined = gatherer_.joined();
    if (outcome_.runs_joined != 0) {
        outcome_.columns.assumptions.push_back(
            "Rows of one report with others between them put together, " +
            std::to_string(outcome_.runs_joined) +
            (outcome_.runs_joined == 1 ? " time" : " times"));
    }
}

// Two loops, so that the question who states the report is asked once a file.
template <bool ReportStated>
void delimited_reader::take_rows() {
    token_row row;
    while (tokens_.next(row)) {
        take_row<ReportStated>(row);
    }
}

template <bool ReportStated>
void delimited_reader::take_row(const token_row& row) {
    if (row.fault != row_fault::none) {
        refuse_fault(row);
        return;
    }
    if (row.lines > 1 && (row.cells.size() != header_.size() || row.text_behind_quote)) {
        refuse_as_swallowed(row);
        return;
    }
    if (row.cells.size() == header_.size()) [[likely]] {
        take_cells<ReportStated>(row, row.cells);
    } else if (std::span<const std::string_view> cells = row.cells; fit_to_header(row, cells)) {
        take_cells<ReportStated>(row, cells);
    }
}

// In line, with the width of the header.
template <bool ReportStated>
[[gnu::always_inline]] inline void delimited_reader::take_cells(
    const token_row& row, std::span<const std::string_view> cells) {
    const std::string_view id =
        ReportStated ? *outcome_.columns.report_stated : trimmed(cells[report_column_->index]);
    if (!ReportStated && !id.empty() && open_ && id == report_->id) {
        take_set(cells, id, row.line, true);
        return;
    }
    if (id.empty()) {
        if (std::ranges::all_of(cells, [](std::string_view cell) { return is_blank(cell); })) {
            ++outcome_.rows_other;
        } else {
            refuse(row, "no report identifier", "fill in which report the row belongs to");
        }
        return;
    }
    if (is_header_again(cells)) {
        refuse(row, "the header again", "remove the repeated header");
        return;
    }
    take_set(cells, id, row.line, open_ && id == report_->id);
}

// A row of another width. Short rows are blank at the end; surplus cells must be empty.
bool delimited_reader::fit_to_header(const token_row& row,
                                     std::span<const std::string_view>& cells) {
    const std::size_t width = header_.size();
    if (cells.size() == 1 && is_blank(cells[0])) {
        return false;  // an empty line with blanks in it: no row
    }
    if (cells.size() < width) {
        padded_.assign(cells.begin(), cells.end());
        padded_.resize(width);
        cells = padded_;
        return true;
    }
    const auto surplus = cells.subspan(width);
    cells = cells.first(width);
    if (std::ranges::all_of(surplus, [](std::string_view cell) { return is_blank(cell); })) {
        return true;
    }
    refuse(row,
           "row has " + std::to_string(row.cells.size()) + " cells, the header " +
               std::to_string(width) + ": a stray " + delimiter_ + " or an unclosed quote?",
           "quote the cell that holds the " + delimiter_);
    return false;
}

// `goes_on`: the identifier is that of the open report.
void delimited_reader::take_set(std::span<const std::string_view> cells, std::string_view id,
                                std::uint64_t line, bool goes_on) {
    if (measures_) [[unlikely]] {
        take_reading(cells, id, line);
        return;
    }
    if (!goes_on || report_->sets.size() >= options_.gathering.sets) {
        begin_run(id);
    }
    report_cells_->take(*report_, cells, line);
    report_->sets.push_back(rows_->blank_set());
    if (rows_->fill(report_->sets.back(), cells, line)) {
        ++outcome_.rows_examined;
        first_line_ = report_->sets.size() == 1 ? line : first_line_;
    } else {
        report_->sets.pop_back();
        ++(take_groups(cells, line) ? outcome_.rows_examined : outcome_.rows_other);
    }
}

void delimited_reader::begin_run(std::string_view id) {
    hand_over();
    report_ = &gatherer_.begin_run(id);
    open_ = true;
}

// One row of the long form: a reading of the present set, or the first of another.
[[gnu::noinline]] void delimited_reader::take_reading(std::span<const std::string_view> cells,
                                                      std::string_view id, std::uint64_t line) {
    if (!open_ || id != report_->id) {
        begin_run(id);
    }
    report_cells_->take(*report_, cells, line);
    const auto read = measures_->read(cells, line);
    if (!read) {
        ++outcome_.rows_other;
        return;
    }
    if (report_->sets.empty() || measures_->begins_set(*read, cells)) {
        if (report_->sets.size() >= options_.gathering.sets) {
            begin_run(id);
            report_cells_->take(*report_, cells, line);
        }
        first_line_ = report_->sets.empty() ? line : first_line_;
        report_->sets.push_back(measures_->begin_set(cells));
        rows_->fill_time(report_->sets.back(), cells, line);
    }
    measures_->put(report_->sets.back(), *read);
    rows_->fill_context(report_->sets.back(), cells, line);
    ++outcome_.rows_examined;
}

// The sets of a row that holds several. False where there is none.
[[gnu::noinline]] bool delimited_reader::take_groups(std::span<const std::string_view> cells,
                                                     std::uint64_t line) {
    const std::size_t before = report_->sets.size();
    complaints_.begin_row();
    for (const row_reader& rows : group_rows_) {
        report_->sets.push_back(rows.blank_set());
        if (!rows.fill(report_->sets.back(), cells, line)) {
            report_->sets.pop_back();
        }
    }
    if (before == 0 && !report_->sets.empty()) {
        first_line_ = line;
    }
    return report_->sets.size() != before;
}

// Exports that were joined end to end carry their header along; others have two, in other words.
bool delimited_reader::is_header_again(std::span<const std::string_view> cells) const {
    const bool first_row = outcome_.rows_examined + outcome_.rows_unread + outcome_.rows_other == 0;
    const std::size_t telling = report_column_ == nullptr ? 0 : report_column_->index;
    return (cells[telling] == header_[telling] && std::ranges::equal(cells, header_)) ||
           (first_row && (!understand_header(cells).error ||
                          (options_.mapping != nullptr &&
                           !understand_header(cells, options_.mapping.get()).error)));
}

// Times of day on the day of their call, once the sets of a report are together.
void delimited_reader::place_past_midnight(std::span<vital_set> sets) {
    const auto time_of = [sets](std::size_t set) -> std::chrono::local_seconds* {
        std::optional<set_time>& at = sets[set].taken_at;
        return at && !at->elapsed ? &at->local : nullptr;
    };
    if (!move_past_midnight(sets.size(), time_of) || !zone_) {
        return;
    }
    for (vital_set& set : sets) {
        if (set.taken_at) {
            set.taken_at->doubt = local_doubt::none;
            zone_->place(*set.taken_at);
        }
    }
}

void delimited_reader::hand_over() {
    if (open_ && !report_->sets.empty()) {
        gatherer_.add(first_line_);
    }
    open_ = false;
}

void delimited_reader::refuse(const token_row& row, std::string_view reason,
                              std::string_view remedy) {
    ++outcome_.rows_unread;
    into_.unread({.file = file_name_,
                  .line = row.line,
                  .text = charted_text(row.text),
                  .reason = reason,
                  .remedy = remedy});
}

void delimited_reader::refuse_fault(const token_row& row) {
    switch (row.fault) {
        case row_fault::none:
            break;
        case row_fault::nul:
            refuse(row, "the row holds a NUL byte", "export it again, or remove the byte");
            break;
        case row_fault::too_long:
            refuse(row,
                   "the row is longer than " + std::to_string(options_.text.longest_row) +
                       " bytes, or has more than " + std::to_string(options_.text.most_cells) +
                       " cells",
                   "check that its line ends survived the export");
            break;
        case row_fault::unclosed_quote:
            refuse(row, "a quoted cell begins on this line and does not end", close_or_remove);
            break;
        case row_fault::broken_off:
            refuse(row, "reading broke off in this row", "read the file again");
            break;
    }
}

void delimited_reader::refuse_as_swallowed(const token_row& row) {
    refuse(
        row,
        "a quoted cell begins on this line and swallows the next " + std::to_string(row.lines - 1),
        close_or_remove);
    tokens_.give_up_first_line();
}

}  // namespace

delimited_outcome read_delimited(byte_source& source, std::string_view file_name,
                                 const delimited_options& options, sink& into) {
    return delimited_reader(source, file_name, options, into).run();
}

delimited_outcome read_delimited_file(const std::string& path, const delimited_options& options,
                                      sink& into) {
    const opened_file file = open_file(path);
    if (file.source == nullptr) {
        delimited_outcome outcome;
        outcome.error = file_error{file.error, file.remedy};
        return outcome;
    }
    return read_delimited(*file.source, shown_name(path), options, into);
}

}  // namespace vitalproof::read
