// How a file's times are understood: the order of day and month, date columns, forms, a zone.
#include "read_support.hpp"

#include <catch2/catch.hpp>

#include <chrono>

namespace {

using namespace reading;
using namespace std::chrono_literals;
using read::column_role;
using read::day_order;
using read::note_kind;
using std::chrono::local_days;
using std::chrono::local_seconds;

std::string remark(const file& f, column_role role = column_role::time) {
    const read::column* c = f.outcome.columns.find(role);
    return c == nullptr ? "no such column" : c->remark;
}

std::string written(const file& f, column_role role = column_role::time) {
    const read::column* c = f.outcome.columns.find(role);
    return c == nullptr ? "no such column" : c->written_as;
}

std::vector<std::optional<local_seconds>> times(const file& f) {
    std::vector<std::optional<local_seconds>> all;
    for (const care_report& r : f.reports()) {
        for (const vital_set& set : r.sets) {
            all.push_back(set.taken_at ? std::optional(set.taken_at->local) : std::nullopt);
        }
    }
    return all;
}

file of_times(std::initializer_list<std::string_view> cells,
              const read::delimited_options& options = {}) {
    std::string text = "report,time,pulse\n";
    for (const std::string_view cell : cells) {
        text.append("A,\"").append(cell).append("\",80\n");
    }
    return file(text, options);
}

constexpr local_seconds march(unsigned day, std::chrono::seconds since) {
    return local_days{std::chrono::year(2026) / std::chrono::March / std::chrono::day(day)} + since;
}

constexpr local_seconds april_3 = local_days{2026y / std::chrono::April / 3} + 10h;

}  // namespace

TEST_CASE("one date that reads one way alone decides for its column") {
    const file month_first = of_times({"03/04/2026 10:00", "03/25/2026 11:00"});
    CHECK(remark(month_first) == "read as month/day/year, because line 3 says 03/25/2026");
    CHECK(written(month_first) == "month/day/year");
    CHECK(times(month_first) ==
          std::vector<std::optional<local_seconds>>{march(4, 10h), march(25, 11h)});
    const file day_first = of_times({"03/04/2026 10:00", "25/03/2026 11:00"});
    CHECK(remark(day_first) == "read as day/month/year, because line 3 says 25/03/2026");
    CHECK(times(day_first) == std::vector<std::optional<local_seconds>>{april_3, march(25, 11h)});
    CHECK(day_first.outcome.undecided_dates.count == 0);
}

TEST_CASE("a single row decides, or does not") {
    CHECK(times(file("report,time,pulse\nA,3/25/2026 10:00,80")).at(0) == march(25, 10h));
    const file open("report,time,pulse\nA,03/04/2026 10:00,80");
    CHECK(times(open).at(0) == std::nullopt);
    CHECK(open.outcome.rows_examined == 1);
    CHECK(open.outcome.undecided_dates.count == 1);
    CHECK(open.outcome.undecided_dates.first_line == 2);
    REQUIRE(open.kept.notes.size() == 1);
    CHECK(open.kept.notes[0].kind == note_kind::undecided_date);
    CHECK(remark(open) ==
          "line 2 says 03/04/2026 and no date shows which part is the month, so its times are not "
          "used: say --dates day-first or --dates month-first");
}

TEST_CASE("dates that contradict each other decide nothing") {
    const file f = of_times({"03/25/2026 10:00", "25/03/2026 11:00", "2026-03-25 12:00"});
    CHECK(f.outcome.undecided_dates.count == 2);
    CHECK(times(f).at(2) == march(25, 12h));
    CHECK(remark(f).starts_with("line 2 says 03/25/2026 and line 3 says 25/03/2026: which part"));
}

TEST_CASE("a stated order outranks the column's own") {
    const file f =
        of_times({"03/04/2026 10:00", "03/25/2026 11:00"}, {.dates = day_order::day_first});
    CHECK(times(f) == std::vector<std::optional<local_seconds>>{april_3, std::nullopt});
    CHECK(f.outcome.unreadable_times.count == 1);
    CHECK(f.outcome.unreadable_times.first_line == 3);
    CHECK(remark(f) == "read as day/month/year, as --dates says");
    CHECK(remark(of_times({"2026-03-25 10:00"}, {.dates = day_order::day_first})).empty());
}

TEST_CASE("dates with dots have the day first, unless the column shows otherwise") {
    CHECK(times(of_times({"03.04.2026 10:00"})).at(0) == april_3);
    CHECK(remark(of_times({"03.04.2026 10:00"})) ==
          "read as day.month.year, as dates with dots are written");
    CHECK(times(of_times({"03.04.2026 10:00", "03.25.2026 10:00"})).at(0) == march(4, 10h));
    CHECK(times(of_times({"03.04.2026 10:00", "03/04/2026 10:00"})).at(0) == std::nullopt);
}

TEST_CASE(
    "a late row within a megabyte decides for the first, and a still later one is unreadable") {
    std::string text = "report,time,pulse,note\n";
    const std::string same = "A,03/04/2026 10:00,80," + std::string(200, 'x') + "\n";
    for (int i = 0; i < 4000; ++i) {
        text += same;
    }
    const std::string late = text + "A,03/25/2026 10:00,80,\n";
    const file decided(late);
    CHECK(remark(decided) == "read as month/day/year, because line 4002 says 03/25/2026");
    CHECK(times(decided).at(0) == march(4, 10h));
    for (int i = 0; i < 4000; ++i) {
        text += same;
    }
    const file undecided(text + "A,03/25/2026 10:00,80,\n");
    CHECK(undecided.outcome.undecided_dates.count == 8001);
    std::string contradicting = text + "A,25/03/2026 10:00,80,\n";
    contradicting.insert(contradicting.find('\n') + 1, "A,03/25/2026 10:00,80,\n");
    const file against(contradicting);
    CHECK(against.outcome.unreadable_times.count == 1);
    CHECK(against.outcome.unreadable_times.first_line == 8003);
    CHECK(against.adds_up());
}

TEST_CASE("the first rows decide alike in small pieces, with any line ends") {
    for (const std::string_view text :
         {"report,time,pulse\nA,03/04/2026 10:00,80\nA,03/25/2026 10:00,80"sv,
          "\xEF\xBB\xBFreport,time,pulse\r\nA,03/04/2026 10:00,80\r\nA,03/25/2026 10:00,80\r\n"sv,
          "\n\"report\",\"time\",\"pulse\"\rA,\"03/04/2026 10:00\",80\rA,03/25/2026 10:00,80"sv}) {
        for (const std::size_t step : {1U, 7U, 1000U}) {
            halting_source source(text, step);
            memory_sink kept;
            const auto outcome = read::read_delimited(source, "x.csv", {}, kept);
            CHECK_FALSE(outcome.error.has_value());
            CHECK(outcome.bytes == text.size());
            REQUIRE(kept.reports.size() == 1);
            REQUIRE(kept.reports[0].sets.size() == 2);
            CHECK(kept.reports[0].sets[0].taken_at.value().local == march(4, 10h));
            const bool blank_line = text.front() == '\n';
            CHECK(kept.reports[0].sets[0].line == (blank_line ? 3 : 2));
            CHECK(outcome.columns.find(column_role::time)->remark ==
                  (blank_line ? "read as month/day/year, because line 4 says 03/25/2026"sv
                              : "read as month/day/year, because line 3 says 03/25/2026"sv));
        }
    }
}

TEST_CASE("a date and a time column are one time") {
    const file f(
        "report,Vitals Date,Vitals Time,pulse\n"
        "A,03/25/2026,1432,80\n"
        "A,03/25/2026,2:40 PM,81\n"
        "A,03/26/2026,00:10,82\n"
        "A,03/26/2026,,83\n"
        "A,,10:00,84\n"
        "A,02/30/2026,10:00,85\n"
        "A,03/26/2026,24:00,86\n"
        "A,,2026-03-26T10:00Z,87\n"
        "A,,,88\n");
    CHECK(f.outcome.rows_examined == 9);
    CHECK(times(f).at(0) == march(25, 14h + 32min));
    CHECK(times(f).at(1) == march(25, 14h + 40min));
    CHECK(times(f).at(2) == march(26, 10min));
    CHECK(times(f).at(7) == march(26, 10h));
    CHECK(f.outcome.elapsed_times.count == 0);
    CHECK(f.outcome.dates_without_time.first_line == 5);
    CHECK(f.outcome.times_without_date.first_line == 6);
    CHECK(f.outcome.unreadable_times.count == 2);
    CHECK(f.outcome.unreadable_times.first_line == 7);
    CHECK(remark(f, column_role::date) == "read as month/day/year, because line 2 says 03/25/2026");
    CHECK(remark(f).empty());
}

TEST_CASE("a note on a joined time names the cell that is the reason") {
    const file f(
        "report,date,time,pulse\nA,03/25/2026,10:00,80\nA,25/25/2026,10:00,80\n"
        "A,03/25/2026,noon,80\n");
    REQUIRE(f.kept.notes.size() == 2);
    CHECK(f.kept.notes[0].column == "date");
    CHECK(f.kept.notes[1].column == "time");
    CHECK(f.outcome.unreadable_times.count == 2);
}

TEST_CASE("a lone date column may hold whole times") {
    const file f("report,Date,pulse\nA,2026-03-25 10:00,80\nA,2026-03-25,81\n");
    CHECK(times(f).at(0) == march(25, 10h));
    CHECK(f.outcome.dates_without_time.count == 1);
}

TEST_CASE("times of day without a date") {
    const file f = of_times({"14:32", "26:10", "2:32 PM", "1432"});
    CHECK(f.outcome.elapsed_times.count == 2);
    CHECK(f.outcome.times_without_date.count == 2);
    CHECK(f.outcome.times_without_date.first_line == 4);
    CHECK(written(f) == "hours and minutes");
    CHECK(remark(f) ==
          "times without a date (2, first in line 2) are read as hours and minutes since a start "
          "that is not said");
    CHECK(f.kept.notes.at(0).kind == note_kind::time_without_date);
}

TEST_CASE("spreadsheet numbers and short years are said") {
    const file numbers = of_times({"46106.5", "46106"});
    CHECK(times(numbers).at(0) == march(25, 12h));
    CHECK(numbers.outcome.dates_without_time.count == 1);
    CHECK(remark(numbers) == "numbers are read as a spreadsheet's days since 1900");
    const file halves("report,date,time,pulse\nA,46106,0.5,80\n");
    CHECK(times(halves).at(0) == march(25, 12h));
    CHECK(remark(halves) == "numbers are read as a spreadsheet's days since 1900");
    const file years = of_times({"3/25/26 10:00"});
    CHECK(times(years).at(0) == march(25, 10h));
    CHECK(remark(years) ==
          "read as month/day/year, because line 2 says 3/25/26; years of two digits are read as "
          "20YY");
}

TEST_CASE("a column is known by its usual form, not asked for a remark") {
    const file f = of_times({"2026-03-25T10:00", ""});
    CHECK(remark(f).empty());
    CHECK(written(f) == "year-month-day");
    CHECK(written(of_times({""})).empty());
    CHECK(written(of_times({"25-Mar-2026 10:00", "2026-03-25"})) ==
          "year-month-day or with the month's name");
}

TEST_CASE("a zone gives its offset to times without one") {
    read::delimited_options options;
    options.zone = read::find_time_zone("America/New_York").zone;
    const file f = of_times(
        {"2026-03-25T10:00", "2026-03-25T10:00Z", "2026-03-08T02:30", "2026-11-01T01:30", "26:10"},
        options);
    const auto& sets = f.reports().at(0).sets;
    CHECK(sets.at(0).taken_at.value().utc_offset == -4h);
    CHECK(sets.at(1).taken_at.value().utc_offset == 0h);
    CHECK(sets.at(2).taken_at.value().utc_offset == std::nullopt);
    CHECK(sets.at(3).taken_at.value().utc_offset == std::nullopt);
    CHECK(sets.at(4).taken_at.value().utc_offset == std::nullopt);
    CHECK(f.outcome.unplaced_times.count == 2);
    CHECK(f.outcome.unplaced_times.first_line == 4);
    CHECK(f.kept.notes.at(0).kind == note_kind::unplaced_time);
    CHECK(remark(f).starts_with(
        "times without an offset are of America/New_York, as --time-zone says"));
    const file joined("report,date,time,pulse\nA,2026-07-01,1000,80\n", options);
    CHECK(joined.only_set().taken_at.value().utc_offset == -4h);
}

TEST_CASE("times of day beside the day of their call go on past midnight") {
    using all_times = std::vector<std::optional<local_seconds>>;
    const std::string head = "report,Incident Date,time,pulse\n";
    const file night(head +
                     "A,2026-03-25,23:50,80\nA,2026-03-25,,80\nA,2026-03-25,00:02,80\n"
                     "A,2026-03-25,10:00 AM,80\nB,2026-03-25,00:10,80\nB,2026-03-25,0020,80\n");
    CHECK(times(night) == all_times{march(25, 23h + 50min), std::nullopt, march(26, 2min),
                                    march(26, 10h), march(25, 10min), march(25, 20min)});
    CHECK(remark(night, column_role::call_date) ==
          "a time more than twelve hours before the one above it, in its report, is read as of the "
          "next day");
    // The latest first; and a report whose rows lie apart.
    CHECK(times(file(head + "A,2026-03-25,00:02,80\nA,2026-03-25,23:50,80\n")) ==
          all_times{march(26, 2min), march(25, 23h + 50min)});
    const file apart(head +
                     "A,2026-03-25,23:50,80\nB,2026-03-25,23:55,80\nA,2026-03-25,00:02,80\n");
    CHECK(apart.reports().at(0).sets.at(1).taken_at.value().local == march(26, 2min));
    CHECK(times(file(head + "A,2026-03-25,0.5,80\n")) == all_times{march(25, 12h)});
    // Half a day is no night, and dates that differ are the sets' own.
    CHECK(times(file(head + "A,2026-03-25,22:00,80\nA,2026-03-25,10:00,80\n")) ==
          all_times{march(25, 22h), march(25, 10h)});
    CHECK(times(file(head + "A,2026-03-25,23:50,80\nA,2026-03-26,00:02,80\n"
                            "A,2026-03-26,23:00,80\n")) ==
          all_times{march(25, 23h + 50min), march(26, 2min), march(26, 23h)});
}

TEST_CASE("the day of a call is not used where sets have their own") {
    const file whole(
        "report,Incident Date,time,pulse\n"
        "A,2026-03-25,2026-03-25T23:50,80\nA,2026-03-25,2026-03-25T00:02,80\n");
    CHECK(times(whole).at(1) == march(25, 2min));
    CHECK(whole.outcome.columns.find(column_role::call_date) == nullptr);
    const file both(
        "report,Incident Date,Vitals Date,time,pulse\nA,2026-03-25,2026-03-26,10:00,80\n");
    CHECK(times(both).at(0) == march(26, 10h));
    const file alone("report,Incident Date,pulse\nA,2026-03-25,80\n");
    CHECK(times(alone).at(0) == std::nullopt);
}

TEST_CASE("a time moved past midnight has the offset of its new day") {
    read::delimited_options options;
    options.zone = read::find_time_zone("America/New_York").zone;
    // Clocks go forward on 8 March 2026 at 02:00.
    const file f("report,Incident Date,time,pulse\nA,2026-03-07,23:50,80\nA,2026-03-07,03:10,80\n",
                 options);
    const auto& sets = f.reports().at(0).sets;
    CHECK(sets.at(0).taken_at.value().utc_offset == -5h);
    CHECK(sets.at(1).taken_at.value().local == march(8, 3h + 10min));
    CHECK(sets.at(1).taken_at.value().utc_offset == -4h);
}

TEST_CASE("two date columns that could both be meant are an error") {
    CHECK(file("report,Date,Date,pulse\nA,,,80\n").error() ==
          "columns 2 \"Date\" and 3 \"Date\" could both be the date of a set");
    const file ranked("report,Date,Vitals Date,Time,pulse\nA,2026-01-01,2026-03-25,10:00,80\n");
    CHECK(times(ranked).at(0) == march(25, 10h));
}
