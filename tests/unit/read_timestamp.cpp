// Times of sets: ISO 8601 as it is really exported, elapsed times, and what is neither.
#include "read/timestamp.hpp"

#include <catch2/catch.hpp>

#include <chrono>
#include <cstdio>
#include <string>

namespace {

using namespace vitalproof;
using namespace vitalproof::read;
using namespace std::chrono_literals;

constexpr std::chrono::local_seconds at(std::chrono::year_month_day day,
                                        std::chrono::seconds time) {
    return std::chrono::local_seconds(std::chrono::local_days(day).time_since_epoch() + time);
}

constexpr time_rules day_first{.order = day_order::day_first};
constexpr time_rules month_first{.order = day_order::month_first};

constexpr auto march_5 = std::chrono::year_month_day(2024y, std::chrono::March, 5d);

bool is_clock(std::string_view text, std::chrono::local_seconds local,
              std::optional<std::chrono::minutes> offset = std::nullopt,
              const time_rules& rules = {}) {
    const timestamp t = read_timestamp(text, rules);
    return t.kind == time_kind::clock && t.time.local == local && t.time.utc_offset == offset;
}

bool is_elapsed(std::string_view text, std::chrono::seconds since) {
    const timestamp t = read_timestamp(text);
    return t.kind == time_kind::elapsed && t.time.elapsed &&
           t.time.local == std::chrono::local_seconds(since) && !t.time.utc_offset;
}

}  // namespace

TEST_CASE("a date and a time of day") {
    CHECK(is_clock("2024-03-05T14:32", at(march_5, 14h + 32min)));
    CHECK(is_clock("2024-03-05T14:32:07", at(march_5, 14h + 32min + 7s)));
    CHECK(is_clock("2024-03-05 14:32:07", at(march_5, 14h + 32min + 7s)));
    CHECK(is_clock("2024-03-05t00:00", at(march_5, 0s)));
    CHECK(is_clock("  2024-03-05T23:59:59\t", at(march_5, 23h + 59min + 59s)));
}

TEST_CASE("fractions of a second are dropped") {
    CHECK(is_clock("2024-03-05T14:32:07.9", at(march_5, 14h + 32min + 7s)));
    CHECK(is_clock("2024-03-05T14:32:07.123456789Z", at(march_5, 14h + 32min + 7s), 0min));
    CHECK(is_clock("2024-03-05T14:32:07,5", at(march_5, 14h + 32min + 7s)));
}

TEST_CASE("the wall clock stays as charted, the offset beside it") {
    const auto local = at(march_5, 14h + 32min);
    CHECK(is_clock("2024-03-05T14:32Z", local, 0min));
    CHECK(is_clock("2024-03-05T14:32z", local, 0min));
    CHECK(is_clock("2024-03-05T14:32-05:00", local, -5h));
    CHECK(is_clock("2024-03-05T14:32:00+0530", local, 5h + 30min));
    CHECK(is_clock("2024-03-05T14:32+14:00", local, 14h));
    CHECK(is_clock("2024-03-05T14:32-12:00", local, -12h));
    CHECK(is_clock("2024-03-05T14:32-00:30", local, -30min));
    CHECK(is_clock("2024-03-05T14:32+05", local, 5h));
    CHECK(is_clock("2024-03-05T14:32:00-05", local, -5h));
    CHECK(is_clock("2024-03-05 14:32 -0500", local, -5h));
}

TEST_CASE("every day of four centuries is where the calendar has it") {
    auto day = std::chrono::sys_days(std::chrono::year_month_day(1890y, std::chrono::January, 1d));
    const auto last =
        std::chrono::sys_days(std::chrono::year_month_day(2290y, std::chrono::January, 1d));
    int read = 0;
    for (; day < last; day += std::chrono::days(1)) {
        const std::chrono::year_month_day ymd(day);
        char text[40];
        std::snprintf(text, sizeof text, "%04d-%02u-%02uT01:02:03", static_cast<int>(ymd.year()),
                      static_cast<unsigned>(ymd.month()), static_cast<unsigned>(ymd.day()));
        const timestamp t = read_timestamp(text);
        INFO(text);
        REQUIRE(t.kind == time_kind::clock);
        REQUIRE(t.time.local.time_since_epoch() == day.time_since_epoch() + 1h + 2min + 3s);
        ++read;
    }
    CHECK(read == 146097);
}

TEST_CASE("days that do not exist are unreadable") {
    for (const auto text : {"2023-02-29T10:00", "2024-02-30T10:00", "1900-02-29T10:00",
                            "2024-04-31T10:00", "2024-13-01T10:00", "2024-00-10T10:00",
                            "2024-01-00T10:00", "2024-01-32T10:00", "2023-02-29"}) {
        INFO(text);
        CHECK(read_timestamp(text).kind == time_kind::unreadable);
    }
    CHECK(is_clock("2024-02-29T00:00", at({2024y, std::chrono::February, 29d}, 0s)));
    CHECK(is_clock("2000-02-29T00:00", at({2000y, std::chrono::February, 29d}, 0s)));
}

TEST_CASE("a date alone has no time of day") {
    CHECK(read_timestamp("2024-03-05").kind == time_kind::date_only);
    CHECK(read_timestamp(" 2024-03-05 ").kind == time_kind::date_only);
}

TEST_CASE("elapsed time runs beyond a day") {
    CHECK(is_elapsed("00:00", 0s));
    CHECK(is_elapsed("7:05", 7h + 5min));
    CHECK(is_elapsed("14:32", 14h + 32min));
    CHECK(is_elapsed("47:59", 47h + 59min));
    CHECK(is_elapsed("123:00", 123h));
    CHECK(is_elapsed("01:02:03", 1h + 2min + 3s));
}

TEST_CASE("blank is blank") {
    CHECK(read_timestamp("").kind == time_kind::blank);
    CHECK(read_timestamp(" \t ").kind == time_kind::blank);
}

TEST_CASE("everything else is unreadable") {
    for (const auto text : {
             "24-03-05T14:32",
             "14.32",
             "2024-03-05T24:00",
             "2024-03-05T14:60",
             "2024-03-05T14:32:60",
             "2024-03-05T14",
             "2024-03-05T14:3",
             "2024-03-05T",
             "2024-03-05T14:32:",
             "2024-03-05T14:32:1",
             "2024-03-05T14:32:07.",
             "2024-03-05T14:32+15:00",
             "2024-03-05T14:32-13:00",
             "2024-03-05T14:32+05:60",
             "2024-03-05T14:32+5:00",
             "2024-03-05T14:32Zx",
             "2024-03-05T14:32 PM",
             "2024-03x05T14:32",
             "2024-03-05x14:32",
             "2024-03-05T1a:32",
             "2024-03-05T14-32",
             "-2024-03-05T14:32",
             "1234:00",
             "12:60",
             ":30",
             "12:",
             "12:3",
             "12:345",
             "1709647920",
             "noon",
             "-1:30",
         }) {
        INFO(text);
        CHECK(read_timestamp(text).kind == time_kind::unreadable);
    }
}

TEST_CASE("what says that there is no time is as good as none") {
    for (const auto text : {"--", "N/A", "Not Recorded", "7701003", " null "}) {
        INFO(text);
        CHECK(read_timestamp(text).kind == time_kind::blank);
    }
}

TEST_CASE("a time cut at any place is not read past its end") {
    const std::string whole = "2024-03-05T14:32:07.25+05:30";
    for (std::size_t size = 0; size < whole.size(); ++size) {
        // A heap copy of the exact size: a sanitizer sees any step too far.
        const std::string cut = whole.substr(0, size);
        const timestamp t = read_timestamp(std::string_view(cut.data(), cut.size()));
        const bool complete =
            size == 10 || size == 16 || size == 19 || size == 21 || size == 22 || size == 25;
        INFO(cut);
        CHECK((t.kind == time_kind::clock || t.kind == time_kind::date_only) == complete);
        CHECK((t.kind == time_kind::blank) == (size == 0));
    }
    CHECK(is_clock(whole, at(march_5, 14h + 32min + 7s), 5h + 30min));
}

TEST_CASE("dates that begin with their year need no order") {
    const auto local = at(march_5, 14h + 32min);
    for (const auto text :
         {"2024/03/05 14:32", "2024/3/5 14:32", "2024.03.05 14:32", "2024-3-5T14:32",
          "2024-03-05  14:32", "202403051432", "20240305143200", "20240305T1432", "20240305 14:32",
          "2024/03/05, 2:32 PM", "2024-03-05 1432"}) {
        INFO(text);
        CHECK(is_clock(text, local));
    }
    CHECK(is_clock("20240305T143207Z", local + 7s, 0min));
    for (const auto text : {"2024/02/30 14:32", "20241305", "2024030", "202403051", "20240305143",
                            "2024/03-05 14:32", "2024/3/5/14:32", "2024-03"}) {
        INFO(text);
        CHECK(read_timestamp(text).kind == time_kind::unreadable);
    }
    CHECK(read_timestamp("20240305").kind == time_kind::date_only);
}

TEST_CASE("dates that end in their year are read by the column's order alone") {
    const auto local = at(march_5, 14h + 32min);
    for (const auto text : {"03/05/2024 14:32", "3/5/2024 14:32:00", "03-05-2024 2:32 PM",
                            "03.05.2024 14:32", "3/5/2024, 2:32:00 p.m."}) {
        INFO(text);
        CHECK(read_timestamp(text).kind == time_kind::undecided);
        CHECK(is_clock(text, local, {}, month_first));
        CHECK(is_clock(text, at({2024y, std::chrono::May, 3d}, 14h + 32min), {}, day_first));
    }
    CHECK(is_clock("25/03/2024 14:32", at({2024y, std::chrono::March, 25d}, 14h + 32min), {},
                   day_first));
    for (const auto text : {"25/03/2024 14:32", "13/13/2024 10:00", "02/30/2024 10:00",
                            "03/05/124 10:00", "03/05-2024 10:00", "003/05/2024 10:00"}) {
        INFO(text);
        CHECK(read_timestamp(text, month_first).kind == time_kind::unreadable);
    }
    CHECK(read_timestamp("02/30/2024").kind == time_kind::unreadable);
    CHECK(read_timestamp("02/28/2024", month_first).kind == time_kind::date_only);
}

TEST_CASE("years of two digits, where the column has them") {
    time_rules rules = month_first;
    CHECK(read_timestamp("3/5/24 14:32", rules).kind == time_kind::unreadable);
    rules.short_years = true;
    CHECK(is_clock("3/5/24 14:32", at(march_5, 14h + 32min), {}, rules));
    CHECK(read_timestamp("2/29/23 14:32", rules).kind == time_kind::unreadable);
}

TEST_CASE("months by their English names") {
    for (const auto text :
         {"05-Mar-2024 14:32", "5 March 2024 14:32", "5-MAR-2024 2:32 pm", "Mar 5, 2024 14:32",
          "March 5 2024, 14:32", "5. mar 2024 14:32", "05Mar2024 14:32", "05MAR2024:14:32:00"}) {
        INFO(text);
        CHECK(is_clock(text, at(march_5, 14h + 32min)));
    }
    CHECK(is_clock("1-Sept-2024 00:00", at({2024y, std::chrono::September, 1d}, 0s)));
    for (const auto text : {"05-Mrz-2024 14:32", "31-Apr-2024 14:32", "05-Ma-2024 14:32",
                            "05-Mar 14:32", "Mar 2024", "05Ma2024 14:32", "05Mar2024::14:32"}) {
        INFO(text);
        CHECK(read_timestamp(text).kind == time_kind::unreadable);
    }
    CHECK(read_timestamp("5-Mar-2024").kind == time_kind::date_only);
}

TEST_CASE("noon and midnight by AM and PM") {
    const auto of_march_5 = [](std::string_view clock) {
        return read_timestamp("2024/03/05 " + std::string(clock));
    };
    const std::vector<std::pair<std::string_view, std::chrono::seconds>> times{
        {"12:00 AM", 0s},
        {"12:59 am", 59min},
        {"1:00 AM", 1h},
        {"11:59 AM", 11h + 59min},
        {"12:00 PM", 12h},
        {"12:59pm", 12h + 59min},
        {"1:00 p.m.", 13h},
        {"11:59:59 P", 23h + 59min + 59s},
        {"2:32\u202FPM", 14h + 32min}};
    for (const auto& [text, since] : times) {
        INFO(text);
        CHECK(of_march_5(text).kind == time_kind::clock);
        CHECK(of_march_5(text).time.local == at(march_5, since));
    }
    for (const auto text : {"0:30 AM", "13:00 PM", "14:32 AM", "12:00 XM", "12:00 AMM", "24:00",
                            "23:60", "23:59:60", "2400", "1260", "12", "1432x"}) {
        INFO(text);
        CHECK(of_march_5(text).kind == time_kind::unreadable);
    }
}

TEST_CASE("a spreadsheet's days, where the column has them") {
    const time_rules rules{.serials = true};
    const auto day = std::chrono::year_month_day(2024y, std::chrono::January, 30d);
    CHECK(read_timestamp("45321.5833").kind == time_kind::unreadable);
    CHECK(is_clock("45321.5833", at(day, 14h), {}, rules));
    CHECK(is_clock("45321.58333", at(day, 14h), {}, rules));
    CHECK(is_clock("45321.58334", at(day, 14h + 1s), {}, rules));
    CHECK(is_clock("45321.5", at(day, 12h), {}, rules));
    CHECK(is_clock("45321.9999999", at(day, 24h), {}, rules));
    CHECK(read_timestamp("45321", rules).kind == time_kind::date_only);
    CHECK(read_timestamp("0.5", rules).kind == time_kind::clock_only);
    for (const auto text : {"32873.5", "73051.5", "1709647920", "14.32", "1.5", ".5", "45321.5x",
                            "-45321.5", "45321.5.5", "0", "0.9999999"}) {
        INFO(text);
        CHECK(read_timestamp(text, rules).kind == time_kind::unreadable);
    }
}

TEST_CASE("a time of day that is no elapsed time has no date") {
    for (const auto text : {"2:32 PM", "1432", "905", "143200", "1/0/1900 2:32 PM",
                            "1900-01-00 14:32", "12/30/1899 14:32"}) {
        INFO(text);
        CHECK(read_timestamp(text).kind == time_kind::clock_only);
    }
}

TEST_CASE("a date and a time of day from two cells") {
    const auto both = [](std::string_view day, std::string_view clock) {
        return joined(read_timestamp(day, month_first), read_timestamp(clock));
    };
    for (const auto day : {"2024-03-05", "03/05/2024", "5-Mar-2024", "2024-03-05 00:00:00",
                           "3/5/2024 12:00:00 AM", "2024-03-05T14:32"}) {
        for (const auto clock : {"14:32", "1432", "2:32 PM", "14:32:00", "1899-12-30 14:32:00",
                                 "12/30/1899 2:32 PM", "1900-01-00T14:32"}) {
            INFO(day << " and " << clock);
            const timestamp t = both(day, clock);
            CHECK(t.kind == time_kind::clock);
            CHECK(t.time.local == at(march_5, 14h + 32min));
            CHECK_FALSE(t.time.elapsed);
        }
    }
    CHECK(both("2024-03-05", "14:32").time.utc_offset == std::nullopt);
    CHECK(both("2024-03-05", "2:32 PM-05:00").time.utc_offset == -5h);
    CHECK(both("2024-03-05", "24:00").kind == time_kind::unreadable);
    CHECK(both("2024-03-05", "26:10").kind == time_kind::unreadable);
    CHECK(both("2024-03-05T14:31", "14:32").kind == time_kind::unreadable);
    CHECK(both("2024-02-30", "14:32").kind == time_kind::unreadable);
    CHECK(both("2024-03-05", "noon").kind == time_kind::unreadable);
    CHECK(both("10:00", "14:32").kind == time_kind::elapsed);
    CHECK(both("2024-03-05", "").kind == time_kind::date_only);
    CHECK(both("", "14:32").kind == time_kind::clock_only);
    CHECK(both("", "").kind == time_kind::blank);
    CHECK(joined(read_timestamp("03/05/2024"), read_timestamp("14:32")).kind ==
          time_kind::undecided);
}

TEST_CASE("every way of writing, cut at any place, is not read past its end") {
    const time_rules rules{.order = day_order::month_first, .short_years = true, .serials = true};
    for (const std::string whole :
         {"03/25/2026 2:32:07.5 p.m. -05:00", "25-September-2026 14:32", "Sep 25, 2026 14:32",
          "20260325T143207+0530", "45321.58333", "1900-01-00 14:32", "2026/03/25\u00A02:32"}) {
        for (std::size_t size = 0; size <= whole.size(); ++size) {
            const std::string cut = whole.substr(0, size);
            const timestamp t = read_timestamp(std::string_view(cut.data(), cut.size()), rules);
            INFO(cut);
            CHECK((t.kind == time_kind::blank) == (size == 0));
        }
        CHECK(read_timestamp(whole, rules).kind != time_kind::unreadable);
    }
}

TEST_CASE("a remembered day changes nothing, and at first there is none") {
    remembered_day last;
    const std::string nothing(10, '\0');
    for (const std::string& text :
         {nothing + "T22:00:40", nothing, std::string("2024-03-05T14:32:00"),
          std::string("2024-03-05T14:33:00"), std::string("1970-01-01T14:32:00"),
          std::string("2024-03-05"), nothing + "T22:00:40", std::string("2024-02-30T14:32:00")}) {
        CAPTURE(text);
        const timestamp alone = read_timestamp(text);
        const timestamp among = read_timestamp(text, {}, last);
        CHECK(among.kind == alone.kind);
        CHECK((among.time == alone.time || alone.kind == time_kind::unreadable));
    }
    CHECK(read_timestamp(nothing + "T22:00:40").kind == time_kind::unreadable);
}
