#include "write/summary.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>

namespace vitalproof::write {

namespace {

std::string_view role_name(read::column_role role) {
    switch (role) {
        case read::column_role::report: return "report identifier";
        case read::column_role::crew: return "crew";
        case read::column_role::time: return "time of the set";
        case read::column_role::age: return "age";
        case read::column_role::pressure_method: return "how the pressure was taken";
        case read::column_role::pulse_method: return "how the pulse was taken";
        case read::column_role::source: return "charted or captured";
        case read::column_role::known_fact:
        case read::column_role::sign:
        case read::column_role::ignored: break;
    }
    return "not used";
}

std::string_view age_unit_name(read::age_unit unit) {
    constexpr std::string_view names[] = {"years", "months", "days", "hours", "minutes"};
    return names[static_cast<std::size_t>(unit)];
}

std::string meaning(const read::column& c) {
    std::string text;
    if (c.role == read::column_role::sign) {
        text = std::string(describe(c.sign).label);
        const std::string_view unit = read::symbol_of(c.unit);
        if (!unit.empty()) {
            text += fmt::format(" in {}{}", unit, c.unit_stated ? "" : " (not stated, assumed)");
        }
    } else if (c.role == read::column_role::known_fact) {
        text = fmt::format("{} (yes or no)", fact_names[static_cast<std::size_t>(c.known)]);
    } else if (c.role == read::column_role::age) {
        text = fmt::format("age in {}", age_unit_name(c.age_in));
    } else {
        text = std::string(role_name(c.role));
    }
    return c.remark.empty() ? text : text + "; " + c.remark;
}

std::string signs_missing(const read::understanding& columns) {
    std::string text;
    for (const sign_id sign : columns.signs_not_carried) {
        text += (text.empty() ? "" : ", ") + std::string(describe(sign).label);
    }
    return text;
}

void append_tally(std::string& text, const std::string& file, const read::tally_of_lines& lines,
                  std::string_view what, std::string_view remedy) {
    if (lines.count != 0) {
        text += fmt::format("  {}: {} {}, first in line {}. {}\n", file, grouped(lines.count), what,
                            grouped(lines.first_line), remedy);
    }
}

std::string share_without_question(const audit::tally& counts) {
    if (counts.sets == 0) {
        return "no sets";
    }
    const std::uint64_t asked = counts.sets_rejected + counts.sets_queried;
    const double share = 100.0 * static_cast<double>(counts.sets - asked) /
                         static_cast<double>(counts.sets);
    // 100.0 would claim that nothing is asked; so round down short of it.
    const double shown = asked != 0 ? std::min(share, 99.9) : share;
    return fmt::format("{:.1f} % of sets raise no question", shown);
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

}  // namespace

std::string grouped(std::uint64_t number) {
    std::string digits = std::to_string(number);
    for (std::size_t at = digits.size(); at > 3;) {
        at -= 3;
        digits.insert(at, ",");
    }
    return digits;
}

std::string columns_text(const std::string& file, const read::understanding& columns) {
    std::size_t widest = 0;
    for (const auto& c : columns.columns) {
        widest = std::max(widest, c.header.size());
    }
    std::string text = fmt::format("How {} is understood\n", file);
    for (const auto& c : columns.columns) {
        text += fmt::format("  {:<{}}  {}\n", c.header, widest, meaning(c));
    }
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
            text += fmt::format("  {}: {} {}\n", file.name, read.error->what, read.error->remedy);
        }
        append_tally(text, file.name, read.unreadable_times, "times could not be read",
                     "Write them as 2026-03-01T14:32:00; the sets were examined without.");
        append_tally(text, file.name, read.dates_without_time, "times are dates alone",
                     "Add the time of day; the sets were examined without.");
        append_tally(text, file.name, read.unreadable_ages, "ages could not be read",
                     "Write a number; the sets were examined as of unknown age.");
        append_tally(text, file.name, read.unreadable_context, "context cells could not be read",
                     "Write yes, no or nothing; they count as unknown.");
    }
    return text;
}

std::string summary_text(const audit::account& account, const first_questions& first,
                         const message_writer& words, look as) {
    const audit::tally& counts = account.counts;
    std::string text;
    text += fmt::format("{} rows read = {} examined + {} unread + {} other (no vital sign)\n",
                        grouped(account.rows_read), grouped(account.rows_examined),
                        grouped(account.rows_unread), grouped(account.rows_other));
    text += fmt::format("{} reports, {} sets, {} readings\n", grouped(counts.reports),
                        grouped(counts.sets), grouped(counts.readings));
    text += strong(share_without_question(counts), as);
    text += fmt::format(": {} rejected, {} queried; {} notices\n", grouped(counts.sets_rejected),
                        grouped(counts.sets_queried), grouped(counts.all.notice));
    if (first.list().empty()) {
        return text;
    }
    text += fmt::format("\n{}\n", strong(first.list().size() == 1 ? "The question to look at first"
                                                                  : "Questions to look at first",
                                         as));
    std::size_t number = 0;
    for (const auto& [f, others] : first.list()) {
        text += fmt::format("{:3}. {} report {}{}\n     {}{}\n", ++number, name_of(f.info().asks),
                            plain(f.report), f.crew.empty() ? "" : ", crew " + plain(f.crew),
                            words.question(f),
                            others == 0 ? "" : fmt::format(" (and {} more on this reading)", others));
    }
    return text;
}

}  // namespace vitalproof::write
