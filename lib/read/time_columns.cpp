#include "read/time_columns.hpp"

#include "read/first_rows.hpp"
#include "read/text.hpp"
#include "read/written_time.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>

namespace vitalproof::read {

namespace {

constexpr std::size_t first_look = std::size_t{1} << 16;
constexpr std::size_t longest_look = std::size_t{1} << 20;
constexpr std::uint64_t enough_plain_times = 256;

// A date as charted, and where.
struct charted_date {
    std::uint64_t line = 0;
    std::string text{};
};

// What a column's first cells show.
struct seen_times {
    std::uint64_t plain = 0;  // year first
    bool clocks = false;
    bool named = false;
    bool serials = false;  // dates, or fractions of a day alone
    bool serial_dates = false;
    bool short_years = false;
    bool undotted = false;
    std::optional<charted_date> either{};  // day and month in an order that is not plain
    std::optional<charted_date> day_first{};
    std::optional<charted_date> month_first{};

    bool nothing() const { return !clocks && !serials && !dates(); }
    bool dates() const { return plain != 0 || named || serial_dates || ends_in_year(); }
    bool ends_in_year() const { return either || day_first || month_first; }
    bool contradictory() const { return day_first && month_first; }

    // Where dates are written with dots the day stands first (from memory: so in every locale of
    // the Unicode CLDR that writes dots), unless the column itself shows otherwise.
    bool dotted_alone() const { return ends_in_year() && !undotted; }
    bool wants_more() const {
        return nothing() || (either && !day_first && !month_first && undotted);
    }

    void add(std::string_view cell, std::uint64_t line);
    void add_ending_in_year(const written_time& written, std::uint64_t line);
};

void remember(std::optional<charted_date>& first, const written_time& written, std::uint64_t line) {
    if (!first) {
        first = {line, std::string(written.date)};
    }
}

void seen_times::add_ending_in_year(const written_time& written, std::uint64_t line) {
    const bool may_be_day_first = day_of(written, day_order::day_first).has_value();
    const bool may_be_month_first = day_of(written, day_order::month_first).has_value();
    remember(may_be_day_first && may_be_month_first ? either
             : may_be_day_first                     ? day_first
                                                    : month_first,
             written, line);
    undotted |= !written.dotted;
}

void seen_times::add(std::string_view cell, std::uint64_t line) {
    const timestamp plain_time = read_timestamp(cell);
    if (plain_time.kind == time_kind::blank || plain_time.kind == time_kind::elapsed) {
        clocks |= plain_time.kind == time_kind::elapsed;
        return;
    }
    const auto written = read_written_time(cell);
    if (!written) {
        return;
    }
    short_years |= written->short_year;
    serials |= written->serial;
    switch (written->form) {
        case date_form::none:
            clocks |= !written->serial;
            break;
        case date_form::year_first:
            ++plain;
            break;
        case date_form::year_last:
            add_ending_in_year(*written, line);
            break;
        case date_form::month_named:
            named = true;
            break;
        case date_form::serial:
            serial_dates = true;
            break;
    }
}

seen_times look_at(const column& c, tokenizer& tokens, const tokenizer_options& options,
                   std::uint64_t first_line) {
    seen_times seen;
    for (const std::size_t look : {first_look, longest_look}) {
        seen = {};
        const bool all = look_at_first_rows(tokens, options, look, [&](const token_row& row) {
            if (row.cells.size() > c.index) {
                seen.add(row.cells[c.index], first_line + row.line - 1);
            }
            // A column that is plain so far is taken to stay so: other dates would not be used.
            return seen.plain != enough_plain_times || seen.ends_in_year();
        });
        if (all || !seen.wants_more()) {
            break;
        }
    }
    return seen;
}

std::string_view name_of(day_order order) {
    return order == day_order::day_first ? "day/month/year" : "month/day/year";
}

std::string says(const charted_date& date) {
    return "line " + std::to_string(date.line) + " says " + date.text;
}

void decide_order(column& c, const seen_times& seen, day_order stated) {
    constexpr std::string_view remedy =
        ", so its times are not used: say --dates day-first or --dates month-first";
    if (stated != day_order::undecided) {
        c.written.order = stated;
        if (seen.ends_in_year()) {
            add_phrase(c.remark, "read as " + std::string(name_of(stated)) + ", as --dates says");
        }
    } else if (seen.contradictory()) {
        add_phrase(c.remark, says(*seen.month_first) + " and " + says(*seen.day_first) +
                                 ": which part is the month is not plain" + std::string(remedy));
    } else if (seen.day_first || seen.month_first) {
        c.written.order = seen.day_first ? day_order::day_first : day_order::month_first;
        add_phrase(c.remark, "read as " + std::string(name_of(c.written.order)) + ", because " +
                                 says(seen.day_first ? *seen.day_first : *seen.month_first));
    } else if (seen.dotted_alone()) {
        c.written.order = day_order::day_first;
        add_phrase(c.remark, "read as day.month.year, as dates with dots are written");
    } else if (seen.either) {
        add_phrase(c.remark, says(*seen.either) + " and no date shows which part is the month" +
                                 std::string(remedy));
    }
}

std::string in_words(const column& c, const seen_times& seen) {
    std::string text;
    const auto add = [&text](bool is, std::string_view way) {
        if (is) {
            text += (text.empty() ? "" : " or ") + std::string(way);
        }
    };
    add(seen.plain != 0, "year-month-day");
    add(seen.ends_in_year(), c.written.order == day_order::undecided
                                 ? "with day and month in unknown order"
                                 : name_of(c.written.order));
    add(seen.named, "with the month's name");
    add(seen.serials, "spreadsheet day numbers");
    add(seen.clocks, "hours and minutes");
    return text;
}

// The day of the call is of use for times that have none, where no column has that of each set.
void settle_call_dates(understanding& columns, bool times_have_dates) {
    const bool of_use = !times_have_dates && columns.find(column_role::time) != nullptr &&
                        columns.find(column_role::date) == nullptr;
    for (column& c : columns.columns) {
        if (c.role != column_role::call_date) {
            continue;
        }
        if (of_use) {
            add_phrase(c.remark,
                       "a time more than twelve hours before the one above it, in its report, is "
                       "read as of the next day");
        } else {
            c.role = column_role::ignored;
            c.remark.clear();
            c.written_as.clear();
        }
    }
}

}  // namespace

void settle_times(understanding& columns, tokenizer& tokens, const tokenizer_options& options,
                  std::uint64_t next_line, day_order stated, const time_zone* zone) {
    bool times_have_dates = false;
    for (column& c : columns.columns) {
        if (c.role != column_role::time && c.role != column_role::date &&
            c.role != column_role::call_date) {
            continue;
        }
        const seen_times seen = look_at(c, tokens, options, next_line);
        c.written.serials = seen.serials;
        c.written.short_years = seen.short_years;
        decide_order(c, seen, stated);
        c.written_as = in_words(c, seen);
        if (seen.serials) {
            add_phrase(c.remark, "numbers are read as a spreadsheet's days since 1900");
        }
        if (seen.short_years) {
            add_phrase(c.remark, "years of two digits are read as 20YY");
        }
        if (zone != nullptr && c.role == column_role::time) {
            add_phrase(c.remark,
                       "times without an offset are of " + zone->name() + ", as --time-zone says");
        }
        times_have_dates = times_have_dates || (c.role == column_role::time && seen.dates());
    }
    settle_call_dates(columns, times_have_dates);
}

}  // namespace vitalproof::read
