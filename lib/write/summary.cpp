#include "write/summary.hpp"

#include <vitalproof/examine.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <string_view>
#include <vector>

namespace vitalproof::write {

namespace {

constexpr std::string_view whole_pressure = "systolic/diastolic (mean)";

std::string_view role_name(read::column_role role) {
    switch (role) {
        case read::column_role::report:
            return "report identifier";
        case read::column_role::crew:
            return "crew";
        case read::column_role::time:
            return "time of the set";
        case read::column_role::date:
            return "date of the set, for times without their own";
        case read::column_role::call_date:
            return "date of the call, for times without their own";
        case read::column_role::age:
            return "age";
        case read::column_role::pressure_method:
            return "how the pressure was taken";
        case read::column_role::pulse_method:
            return "how the pulse was taken";
        case read::column_role::age_unit:
            return "unit of the age in each row";
        case read::column_role::rhythm:
            return "rhythm, for whether it is irregular, paced or pulseless";
        case read::column_role::breathing_effort:
            return "breathing, for whether it is assisted";
        case read::column_role::source:
            return "charted or captured";
        case read::column_role::disposition:
            return "how the call ended";
        case read::column_role::device:
            return "the monitor";
        case read::column_role::incident:
            return "the call, which other reports may be of";
        case read::column_role::complaint:
            return "complaint, for what the report should hold";
        case read::column_role::unit_notified:
            return "time the unit was notified";
        case read::column_role::en_route:
            return "time en route";
        case read::column_role::on_scene:
            return "time on scene";
        case read::column_role::at_patient:
            return "time at the patient";
        case read::column_role::left_scene:
            return "time the scene was left";
        case read::column_role::at_destination:
            return "time at the destination";
        case read::column_role::transfer_of_care:
            return "time of the transfer of care";
        case read::column_role::back_in_service:
            return "time back in service";
        case read::column_role::sign_name:
            return "name of the sign in each row";
        case read::column_role::value:
            return "value of the sign in each row";
        case read::column_role::value_unit:
            return "unit of the value in each row";
        case read::column_role::known_fact:
        case read::column_role::sign:
        case read::column_role::pressures:
        case read::column_role::ignored:
            break;
    }
    return "not used";
}

/// Whether a unit had to be assumed: not stated, and the sign is charted in more than one.
bool unit_was_assumed(const read::column& c) {
    return read::has_unit(c.role) && !c.unit_stated && read::has_other_units(c.sign);
}

std::string meaning(const read::column& c) {
    std::string text;
    if (read::has_unit(c.role)) {
        text = c.role == read::column_role::sign ? describe(c.sign).label : whole_pressure;
        const std::string_view unit = read::symbol_of(c.unit);
        if (!unit.empty()) {
            text +=
                fmt::format(" in {}{}", unit, unit_was_assumed(c) ? " (not stated, assumed)" : "");
        }
    } else if (c.role == read::column_role::known_fact) {
        text = fmt::format("{} (yes or no)", fact_names[static_cast<std::size_t>(c.known)]);
        std::ranges::replace(text, '_', ' ');
    } else if (c.role == read::column_role::age) {
        text = c.age_in ? fmt::format("age in {}", read::name_of(*c.age_in)) : "age";
    } else {
        text = std::string(role_name(c.role));
    }
    text += c.mapped ? ", as the mapping says" : "";
    text += c.written_as.empty() ? "" : ", written " + c.written_as;
    return c.group ? fmt::format("set {}: {}", *c.group, text) : text;
}

/// Characters of a text in UTF-8.
std::size_t characters_in(std::string_view text) {
    return static_cast<std::size_t>(
        std::ranges::count_if(text, [](char c) { return (c & 0xC0) != 0x80; }));
}

std::string padding(std::string_view text, std::size_t width) {
    return std::string(width - characters_in(text), ' ');
}

/// In what a file's readings stand.
std::string_view place_name(const read::understanding& columns) {
    return columns.resources ? "resource" : columns.long_form() ? "row" : "column";
}

/// The names that rows of the long form give their signs.
std::string measures_text(const read::understanding& columns) {
    std::size_t widest = 0;
    for (const auto& m : columns.measures) {
        widest = std::max(widest, m.name.size());
    }
    std::string text;
    if (!columns.measures.empty()) {
        text = columns.resources ? "  Codes in its resources:\n" : "  Named in its rows:\n";
    }
    for (const auto& m : columns.measures) {
        text += fmt::format("    {:<{}}  {}{}\n", m.name, widest,
                            m.pressures ? whole_pressure : describe(m.sign).label,
                            m.unit ? fmt::format(" in {}", read::symbol_of(*m.unit)) : "");
    }
    return text;
}

std::string file_assumptions(const read::understanding& columns) {
    std::string text;
    for (const std::string& assumption : columns.assumptions) {
        text += fmt::format("  {}\n", assumption);
    }
    return text;
}

std::string signs_missing(const read::understanding& columns) {
    std::string text;
    for (const sign_id sign : columns.signs_not_carried) {
        text += (text.empty() ? "" : ", ") + std::string(describe(sign).label);
    }
    return text;
}

/// `1 set`, `12 sets`.
std::string counted(std::uint64_t number, std::string_view what) {
    return fmt::format("{} {}{}", grouped(number), what, number == 1 ? "" : "s");
}

void append_tally(std::string& text, const audit::file_account& file,
                  const read::tally_of_lines& lines, std::string_view what,
                  std::string_view remedy) {
    if (lines.count != 0) {
        text += fmt::format("  {}: {}, first in {} {}. {}\n", file.name, counted(lines.count, what),
                            file.outcome.columns.resources ? "resource" : "line",
                            grouped(lines.first_line), remedy);
    }
}

std::string share_without_question(const audit::tally& counts) {
    const std::uint64_t asked =
        counts.sets_rejected + counts.sets_queried + counts.sets_part_of_batch;
    const double share =
        100.0 * static_cast<double>(counts.sets - asked) / static_cast<double>(counts.sets);
    // 100.0 would claim that nothing is asked; so round down short of it.
    const double shown = asked != 0 ? std::min(share, 99.9) : share;
    return fmt::format("{:.1f} % of sets raise no question", shown);
}

/// Those that a whole column explains are told with that column.
std::string notices_text(const audit::tally& counts) {
    const std::uint64_t clinical = counts.by_kind[static_cast<std::size_t>(kind::clinical)].notice -
                                   counts.clinical_part_of_batch;
    const std::uint64_t all = counts.all.notice - counts.part_of_batch.notice;
    return fmt::format("For the reviewer alone: {}, {}\n", counted(clinical, "clinical notice"),
                       counted(all - clinical, "other notice"));
}

std::string strong(std::string_view text, look as) {
    return as.colour ? fmt::format("\x1b[1m{}\x1b[0m", text) : std::string(text);
}

/// A name for a terminal: what could move the cursor or change direction is shown as `?`.
std::string plain(std::string_view text) {
    std::string shown;
    for (const char c : text) {
        const bool safe = c >= ' ' && c <= '~';
        shown.push_back(safe ? c : '?');
    }
    return shown;
}

/// How much of the list is part of a column's finding, so that nobody asks twice.
std::string parts_text(std::uint64_t parts) {
    return fmt::format(" ({} part of this{})",
                       parts == 1 ? "1 finding is" : fmt::format("{} findings are", grouped(parts)),
                       parts == 0 ? "" : ", and not asked below");
}

/// The questions of the batch as a whole: at most ten a check, the rest counted.
std::string batch_text(const audit::account& account, look as) {
    constexpr std::size_t most_shown = 10;
    std::string text;
    for (std::size_t check = 0; check < batch_check_count; ++check) {
        std::size_t shown = 0;
        for (const auto& [f, parts] : account.batch) {
            if (index_of(f.check) != check || shown++ >= most_shown) {
                continue;
            }
            if (shown == 1) {
                text += fmt::format("\n{}\n", strong(f.info().heading, as));
            }
            text += fmt::format("     {} {}\n     {}{}\n", name_of(f.info().asks),
                                plain(message::place(f)), message::question(f),
                                f.check == batch_check::unit_column ? parts_text(parts) : "");
        }
        if (shown > most_shown) {
            text +=
                fmt::format("     and {} more, in the files below\n", grouped(shown - most_shown));
        }
    }
    return text;
}

/// A line a column, aligned: its number, name, meaning and examples.
std::string column_table(const read::understanding& columns) {
    std::vector<std::array<std::string, 4>> rows{{"", "header", "read as", "examples"}};
    for (const auto& c : columns.columns) {
        rows.push_back({std::to_string(c.index + 1), c.header, meaning(c),
                        fmt::format("{}", fmt::join(c.examples, ", "))});
    }
    std::array<std::size_t, 3> widths{};
    for (const auto& row : rows) {
        for (std::size_t i = 0; i < widths.size(); ++i) {
            widths[i] = std::max(widths[i], characters_in(row[i]));
        }
    }
    std::string text;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const auto& [number, header, read_as, examples] = rows[i];
        std::string line = fmt::format("  {}  {}  {}  {}", padding(number, widths[0]) + number,
                                       header + padding(header, widths[1]),
                                       read_as + padding(read_as, widths[2]), examples);
        line.erase(line.find_last_not_of(' ') + 1);
        text += line + "\n";
        if (i > 0 && !columns.columns[i - 1].remark.empty()) {
            text += fmt::format("  {:{}}  {}\n", "", widths[0] + 2, columns.columns[i - 1].remark);
        }
    }
    return text;
}

}  // namespace

std::string grouped(std::uint64_t number) {
    std::string digits = std::to_string(number);
    for (std::size_t at = digits.size(); at > 3;) {
        at -= 3;
        digits.insert(at, ",");
    }
    return digits;
}

std::string error_text(const read::file_error& error) {
    std::string text = error.what;
    if (!text.empty() && std::string_view(".?!").find(text.back()) == std::string_view::npos) {
        text += '.';
    }
    std::string remedy = error.remedy;
    if (!remedy.empty() && remedy.front() >= 'a' && remedy.front() <= 'z') {
        remedy.front() = static_cast<char>(remedy.front() - 'a' + 'A');
    }
    if (!remedy.empty() && remedy.back() != '.') {
        remedy += '.';
    }
    return text + " " + remedy;
}

std::string assumptions_text(const std::string& file, const read::understanding& columns) {
    std::string assumed;
    std::string unused;
    std::string remarks;
    for (const auto& c : columns.columns) {
        if (unit_was_assumed(c)) {
            assumed += fmt::format("{}{} in {}", assumed.empty() ? "" : ", ", c.header,
                                   read::symbol_of(c.unit));
        }
        if (c.role == read::column_role::ignored) {
            unused += (unused.empty() ? "" : ", ") + c.header;
        }
        if (!c.remark.empty()) {
            remarks += fmt::format("  {}: {}\n", c.header, c.remark);
        }
    }
    std::string text = file + "\n" + file_assumptions(columns);
    text += assumed.empty() ? "" : fmt::format("  Unit not stated, assumed: {}\n", assumed);
    text += unused.empty() ? "" : fmt::format("  Columns not used: {}\n", unused);
    const std::string missing = signs_missing(columns);
    text += missing.empty()
                ? ""
                : fmt::format("  Signs without a {}: {}\n", place_name(columns), missing);
    return text + remarks;
}

std::string columns_text(const std::string& file, const read::understanding& columns) {
    std::string text = fmt::format("How {} is understood\n", file) + file_assumptions(columns);
    text += columns.columns.empty() ? "" : column_table(columns);
    text += measures_text(columns);
    const std::string missing = signs_missing(columns);
    if (!missing.empty()) {
        text += fmt::format("  Not in this file: {}\n", missing);
    }
    return text;
}

std::string troubles_text(const audit::account& account) {
    std::string text;
    for (const auto& file : account.files) {
        const auto& read = file.outcome;
        if (read.error) {
            text += fmt::format("  {}: {}\n", file.name, error_text(*read.error));
        }
        append_tally(text, file, read.unreadable_times, "unreadable time",
                     "Write them as 2026-03-01T14:32:00; the sets were examined without.");
        append_tally(text, file, read.dates_without_time, "bare date",
                     "Add the time of day; the sets were examined without.");
        append_tally(text, file, read.times_without_date, "dateless time",
                     "Add a date column; the sets were examined without.");
        append_tally(text, file, read.undecided_dates, "undecided date",
                     "Day and month cannot be told apart. Say --dates day-first or --dates "
                     "month-first; the sets were examined without.");
        append_tally(text, file, read.unplaced_times, "doubtful local time",
                     "The change of clocks skips or repeats it, or the zone's rules do not reach "
                     "it; it is used as charted.");
        append_tally(text, file, read.identifiers_again, "repeated report identifier",
                     "Another crew or age stands beside it, or its rows lie too far apart; it was "
                     "counted as a report of its own. Sort the file by report.");
        append_tally(text, file, read.unreadable_ages, "unreadable age",
                     "Write a number; the sets were examined as of unknown age.");
        append_tally(text, file, read.unreadable_context, "unreadable context cell",
                     "Write yes, no, or a word that docs/inputs.md lists; they count as unknown.");
    }
    if (account.counts.reports_too_long != 0) {
        text += fmt::format(
            "  {} with more than {} sets: checks of a whole report were not asked of them.\n",
            counted(account.counts.reports_too_long, "report"), grouped(examiner::most_sets_asked));
    }
    if (account.repeated_not_told) {
        text +=
            "  No room for temporary files: reports were not held against each other. Make room in "
            "the folder for them (/tmp) and audit again.\n";
    }
    return text;
}

std::string summary_text(const audit::account& account, const first_questions& first,
                         const message_writer& words, look as) {
    const audit::tally& counts = account.counts;
    std::string text;
    text += fmt::format("{} read = {} examined + {} unread + {} other (no vital sign)\n",
                        counted(account.rows_read, "row"), grouped(account.rows_examined),
                        grouped(account.rows_unread), grouped(account.rows_other));
    text += fmt::format("{}, {}, {}\n", counted(counts.reports, "report"),
                        counted(counts.sets, "set"), counted(counts.readings, "reading"));
    if (counts.sets == 0) {
        return text + "No vital sign was read, so nothing was examined.\n";
    }
    text += strong(share_without_question(counts), as);
    text += fmt::format(": {} rejected, {} queried", grouped(counts.sets_rejected),
                        grouped(counts.sets_queried));
    if (counts.sets_part_of_batch != 0) {
        text += fmt::format(", {} by a whole column alone", grouped(counts.sets_part_of_batch));
    }
    text += "\n";
    text += notices_text(counts);
    text += batch_text(account, as);
    if (first.list().empty()) {
        return text;
    }
    text += fmt::format("\n{}\n", strong(first.list().size() == 1 ? "The question to look at first"
                                                                  : "Questions to look at first",
                                         as));
    std::size_t number = 0;
    for (const auto& [f, others] : first.list()) {
        text += fmt::format(
            "{:3}. {} report {}{}\n     {}{}\n", ++number, name_of(f.info().asks), plain(f.report),
            f.crew.empty() ? "" : ", crew " + plain(f.crew), words.question(f),
            others == 0 ? "" : fmt::format(" (and {} more on this reading)", others));
    }
    return text;
}

}  // namespace vitalproof::write
