#include "read/delimited.hpp"

#include "read/call_cells.hpp"
#include "read/column_groups.hpp"
#include "read/context_words.hpp"
#include "read/delimiter.hpp"
#include "read/digesting_source.hpp"
#include "read/examples.hpp"
#include "read/measure_reader.hpp"
#include "read/row_reader.hpp"
#include "read/text.hpp"
#include "read/text_source.hpp"
#include "read/time_columns.hpp"
#include "read/unit_columns.hpp"

#include <algorithm>
#include <vector>

namespace vitalproof::read {

namespace {

using namespace std::string_literals;

constexpr std::string_view close_or_remove = "close the quote, or remove it";

class delimited_reader final : public cell_complaints, private report_taker {
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
    header_place look_for_header();
    bool next_header(token_row& row, std::uint64_t line);
    void say_what_was_assumed(char delimiter);
    void say_elapsed();
    void read_rows();
    template <bool ReportStated>
    void take_rows();
    template <bool ReportStated>
    void take_row(const token_row& row);
    bool fit_to_header(const token_row& row, std::span<const std::string_view>& cells);
    void take_set(std::span<const std::string_view> cells, std::string_view id, std::uint64_t line,
                  bool goes_on);
    void take_reading(std::span<const std::string_view> cells, std::string_view id,
                      std::uint64_t line);
    void begin_run(std::string_view id);
    bool take_groups(std::span<const std::string_view> cells, std::uint64_t line);
    bool said_of_row(const column& where);
    void take_report_cells(std::span<const std::string_view> cells, std::uint64_t line);
    void take_more(std::span<const std::string_view> cells, std::uint64_t line);
    struct call_column {
        const column* where;
        call_time which;
    };

    bool is_header_again(std::span<const std::string_view> cells) const;
    void hand_over();
    void refuse(const token_row& row, std::string_view reason, std::string_view remedy);
    void refuse_fault(const token_row& row);
    void refuse_as_swallowed(const token_row& row);

    void time(std::uint64_t line, const column& where, std::string_view text,
              time_kind kind) override;
    void unplaced(std::uint64_t line, const column& where, std::string_view text) override;
    void take(care_report& report, std::uint64_t first_line) override {
        ++outcome_.reports;
        into_.report(report, first_line);
    }
    void identifier_again(std::uint64_t line) override { outcome_.identifiers_again.add(line); }
    void elapsed(std::uint64_t line) override { outcome_.elapsed_times.add(line); }
    void context(std::uint64_t line, const column& where, std::string_view text) override;

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
    std::vector<std::size_t> said_;  // columns complained of in such a row
    std::string delimiter_;          // its name
    std::uint64_t lines_above_ = 0;  // the header, and not read
    std::vector<std::string> header_;
    const column* report_column_ = nullptr;
    const column* crew_column_ = nullptr;
    const column* age_column_ = nullptr;
    const column* disposition_column_ = nullptr;
    const column* device_column_ = nullptr;
    const column* incident_column_ = nullptr;
    const column* complaint_column_ = nullptr;
    std::vector<call_column> call_columns_;
    bool says_more_ = false;  // whether any of the last five is there
    std::vector<std::string_view> padded_;

    report_gatherer gatherer_;
    care_report report_{};
    bool open_ = false;
    std::uint64_t first_line_ = 0;
};

bool delimited_reader::understand() {
    outcome_.error = text_.open();
    if (outcome_.error) {
        return false;
    }
    const auto [delimiter, header_line] = look_for_header();
    delimiter_ = name_of_delimiter(delimiter);
    tokens_.set_delimiter(delimiter);
    token_row row;
    if (!next_header(row, header_line)) {
        outcome_.error = file_error{"the file is empty", "check that its export finished"};
        return false;
    }
    if (row.fault == row_fault::nul) {
        outcome_.error = file_error{"this is not text: its first line holds NUL bytes",
                                    "export it as comma-separated text"};
        return false;
    }
    if (row.fault != row_fault::none) {
        outcome_.error = file_error{
            "the header cannot be read: its first line is too long, or a "
            "quote in it does not close",
            "check that it is comma-separated text"};
        return false;
    }
    header_.assign(row.cells.begin(), row.cells.end());
    header_outcome header = understand_header(row.cells, options_.mapping.get());
    outcome_.columns = std::move(header.columns);
    outcome_.error = std::move(header.error);
    say_what_was_assumed(delimiter);
    if (outcome_.error) {
        return false;
    }
    tokenizer_options text = options_.text;
    text.delimiter = delimiter;
    settle_units(outcome_.columns, tokens_, text);
    settle_times(outcome_.columns, tokens_, text, row.line + row.lines, options_.dates,
                 zone_ ? &*zone_ : nullptr);
    if (outcome_.columns.long_form()) {
        measures_.emplace(outcome_.columns, options_.co2, options_.mapping.get(), *this);
        outcome_.error = measures_->look_ahead(tokens_, text);
    }
    if (options_.examples != 0) {
        gather_examples(outcome_.columns, tokens_, text, options_.examples);
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

header_place delimited_reader::look_for_header() {
    const std::size_t most = std::min(bytes_for_header, options_.text.longest_row);
    return find_header(tokens_.peek(most).substr(0, most), options_.text, options_.mapping.get());
}

// The row on the header's line; the first row where no line is known to be the header.
bool delimited_reader::next_header(token_row& row, std::uint64_t line) {
    bool more = tokens_.next(row);
    while (more && row.line < line) {
        lines_above_ = line - 1;
        give_up_swallowed(tokens_, row);
        more = tokens_.next(row);
    }
    return more;
}

void delimited_reader::say_what_was_assumed(char delimiter) {
    if (lines_above_ != 0) {
        outcome_.columns.assumptions.push_back(
            lines_above_ == 1 ? "Line 1 stands above the header and was not read"s
                              : "Lines 1-" + std::to_string(lines_above_) +
                                    " stand above the header and were not read");
    }
    if (text_.as() != encoding::utf_8) {
        outcome_.columns.assumptions.push_back("Characters read as " +
                                               std::string(name_of(text_.as())));
    }
    if (delimiter != ',') {
        outcome_.columns.decimal_comma = true;
        outcome_.columns.assumptions.push_back("Cells separated by a " + delimiter_ +
                                               ", so 36,8 is read as 36.8");
    }
}

void delimited_reader::read_rows() {
    time_zone* zone = zone_ ? &*zone_ : nullptr;
    groups_ = by_group(outcome_.columns);
    for (const understanding& group : groups_) {
        group_rows_.emplace_back(group, options_.co2, *this, zone);
    }
    // Where rows hold several sets it has no sign, so that it fills none and leaves them to
    // take_groups(): no other file pays for the question.
    const understanding no_columns;
    rows_.emplace(groups_.empty() ? outcome_.columns : no_columns, options_.co2, *this, zone);
    report_column_ = outcome_.columns.find(column_role::report);
    crew_column_ = outcome_.columns.find(column_role::crew);
    age_column_ = outcome_.columns.find(column_role::age);
    disposition_column_ = outcome_.columns.find(column_role::disposition);
    device_column_ = outcome_.columns.find(column_role::device);
    incident_column_ = outcome_.columns.find(column_role::incident);
    complaint_column_ = outcome_.columns.find(column_role::complaint);
    for (std::size_t which = 0; which < call_time_count; ++which) {
        const auto moment = static_cast<call_time>(which);
        if (const column* where = outcome_.columns.find(role_of(moment))) {
            call_columns_.push_back({where, moment});
        }
    }
    says_more_ = disposition_column_ != nullptr || device_column_ != nullptr ||
                 incident_column_ != nullptr || complaint_column_ != nullptr ||
                 !call_columns_.empty();
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
    std::span<const std::string_view> cells = row.cells;
    if (row.fault != row_fault::none) {
        refuse_fault(row);
        return;
    }
    if (row.lines > 1 && (cells.size() != header_.size() || row.text_behind_quote)) {
        refuse_as_swallowed(row);
        return;
    }
    if (cells.size() != header_.size() && !fit_to_header(row, cells)) {
        return;
    }
    const std::string_view id =
        ReportStated ? *outcome_.columns.report_stated : trimmed(cells[report_column_->index]);
    if (!ReportStated && !id.empty() && open_ && id == report_.id) {
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
    take_set(cells, id, row.line, open_ && id == report_.id);
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
    if (!goes_on || report_.sets.size() >= options_.gathering.sets) {
        begin_run(id);
    }
    take_report_cells(cells, line);
    report_.sets.push_back(rows_->blank_set());
    if (rows_->fill(report_.sets.back(), cells, line)) {
        ++outcome_.rows_examined;
        first_line_ = report_.sets.size() == 1 ? line : first_line_;
    } else {
        report_.sets.pop_back();
        ++(take_groups(cells, line) ? outcome_.rows_examined : outcome_.rows_other);
    }
}

void delimited_reader::begin_run(std::string_view id) {
    hand_over();
    report_.id.assign(id);
    open_ = true;
}

// One row of the long form: a reading of the present set, or the first of another.
[[gnu::noinline]] void delimited_reader::take_reading(std::span<const std::string_view> cells,
                                                      std::string_view id, std::uint64_t line) {
    if (!open_ || id != report_.id) {
        begin_run(id);
    }
    take_report_cells(cells, line);
    const auto read = measures_->read(cells, line);
    if (!read) {
        ++outcome_.rows_other;
        return;
    }
    if (report_.sets.empty() || measures_->begins_set(*read, cells)) {
        if (report_.sets.size() >= options_.gathering.sets) {
            begin_run(id);
            take_report_cells(cells, line);
        }
        first_line_ = report_.sets.empty() ? line : first_line_;
        report_.sets.push_back(measures_->begin_set(cells));
        rows_->fill_time(report_.sets.back(), cells, line);
    }
    measures_->put(report_.sets.back(), *read);
    rows_->fill_context(report_.sets.back(), cells, line);
    ++outcome_.rows_examined;
}

// The sets of a row that holds several. False where there is none.
[[gnu::noinline]] bool delimited_reader::take_groups(std::span<const std::string_view> cells,
                                                     std::uint64_t line) {
    const std::size_t before = report_.sets.size();
    said_.clear();
    for (const row_reader& rows : group_rows_) {
        report_.sets.push_back(rows.blank_set());
        if (!rows.fill(report_.sets.back(), cells, line)) {
            report_.sets.pop_back();
        }
    }
    if (before == 0 && !report_.sets.empty()) {
        first_line_ = line;
    }
    return report_.sets.size() != before;
}

// A cell that several sets of one row share is complained of once.
bool delimited_reader::said_of_row(const column& where) {
    if (group_rows_.empty()) {
        return false;
    }
    const bool said = std::ranges::find(said_, where.index) != said_.end();
    if (!said) {
        said_.push_back(where.index);
    }
    return said;
}

// Crew and age, from the first row of the report that has them. In line: a call a row costs 25
// instructions.
[[gnu::always_inline]] inline void delimited_reader::take_report_cells(
    std::span<const std::string_view> cells, std::uint64_t line) {
    if (crew_column_ != nullptr && report_.crew.empty()) {
        report_.crew.assign(trimmed(cells[crew_column_->index]));
    }
    if (says_more_) {
        take_more(cells, line);
    }
    if (age_column_ == nullptr || report_.age) {
        return;
    }
    const std::string_view text = trimmed(cells[age_column_->index]);
    if (text.empty()) {
        return;
    }
    report_.age = read_age(text, age_column_->age_in);
    if (!report_.age) {
        outcome_.unreadable_ages.add(line);
        into_.note({note_kind::unreadable_age, line, age_column_->header, charted_text(text)});
    }
}

// What few exports hold: device, call, complaint and how the call ended.
[[gnu::noinline]] void delimited_reader::take_more(std::span<const std::string_view> cells,
                                                   std::uint64_t line) {
    const auto text_in = [cells](const column* where) {
        return where == nullptr ? std::string_view() : trimmed(cells[where->index]);
    };
    if (report_.device.empty()) {
        report_.device.assign(text_in(device_column_));
    }
    if (report_.incident.empty()) {
        report_.incident.assign(text_in(incident_column_));
    }
    if (const std::string_view text = text_in(complaint_column_); !text.empty()) {
        take_complaint(report_, text);
    }
    if (const std::string_view text = text_in(disposition_column_);
        !text.empty() && !take_disposition(report_, text)) {
        context(line, *disposition_column_, text);
    }
    const column* dates = outcome_.columns.find(column_role::date);
    const column* sets = dates != nullptr ? dates : outcome_.columns.find(column_role::time);
    for (const call_column& moment : call_columns_) {
        const std::string_view text = text_in(moment.where);
        // Written as the times of the sets are.
        const timestamp at = read_timestamp(text, sets == nullptr ? time_rules{} : sets->written);
        if (!text.empty() && !take_call_time(report_, moment.which, at, zone_)) {
            time(line, *moment.where, text, at.kind);
        }
    }
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

void delimited_reader::hand_over() {
    if (open_ && !report_.sets.empty()) {
        gatherer_.add(report_, first_line_);
    }
    report_.id.clear();
    report_.crew.clear();
    report_.device.clear();
    report_.incident.clear();
    report_.age.reset();
    report_.known = {};
    report_.call.reset();
    report_.sets.clear();
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

void delimited_reader::time(std::uint64_t line, const column& where, std::string_view text,
                            time_kind kind) {
    if (said_of_row(where)) {
        return;
    }
    const auto say = [&](tally_of_lines& tally, note_kind note) {
        tally.add(line);
        into_.note({note, line, where.header, charted_text(trimmed(text))});
    };
    switch (kind) {
        case time_kind::date_only:
            return say(outcome_.dates_without_time, note_kind::date_without_time);
        case time_kind::clock_only:
            return say(outcome_.times_without_date, note_kind::time_without_date);
        case time_kind::undecided:
            return say(outcome_.undecided_dates, note_kind::undecided_date);
        default:
            return say(outcome_.unreadable_times, note_kind::unreadable_time);
    }
}

void delimited_reader::unplaced(std::uint64_t line, const column& where, std::string_view text) {
    if (said_of_row(where)) {
        return;
    }
    outcome_.unplaced_times.add(line);
    into_.note({note_kind::unplaced_time, line, where.header, charted_text(trimmed(text))});
}

void delimited_reader::context(std::uint64_t line, const column& where, std::string_view text) {
    if (said_of_row(where)) {
        return;
    }
    outcome_.unreadable_context.add(line);
    into_.note({note_kind::unreadable_context, line, where.header, charted_text(text)});
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
