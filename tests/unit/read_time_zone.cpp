// Time zones: offsets around a change of clocks, and names that are none.
#include "read/time_zone.hpp"

#include <catch2/catch.hpp>

#include <chrono>

namespace {

using namespace vitalproof;
using namespace vitalproof::read;
using namespace std::chrono_literals;
using std::chrono::local_days;

constexpr auto no_offset = std::optional<std::chrono::minutes>{};

time_zone zone(std::string_view name) { return find_time_zone(name).zone.value(); }

std::optional<std::chrono::minutes> offset_in(time_zone& zone, std::chrono::local_seconds local) {
    set_time at{.local = local};
    const bool placed = zone.place(at);
    CHECK(placed == at.utc_offset.has_value());
    CHECK(at.local == local);
    return at.utc_offset;
}

}  // namespace

// The dates of the changes are the United States' (15 U.S.C. 260a): second Sunday of March to first
// Sunday of November, at 2:00.
TEST_CASE("offsets around the changes of the clock") {
    time_zone new_york = zone("America/New_York");
    const local_days spring{2026y / std::chrono::March / 8};
    const local_days autumn{2026y / std::chrono::November / 1};
    for (int again = 0; again < 2; ++again) {
        CHECK(offset_in(new_york, spring + 1h + 59min + 59s) == -5h);
        CHECK(offset_in(new_york, spring + 2h) == no_offset);
        CHECK(offset_in(new_york, spring + 2h + 59min + 59s) == no_offset);
        CHECK(offset_in(new_york, spring + 3h) == -4h);
        CHECK(offset_in(new_york, autumn + 59min + 59s) == -4h);
        CHECK(offset_in(new_york, autumn + 1h) == no_offset);
        CHECK(offset_in(new_york, autumn + 1h + 59min + 59s) == no_offset);
        CHECK(offset_in(new_york, autumn + 2h) == -5h);
    }
}

TEST_CASE("zones of other kinds") {
    time_zone phoenix = zone("America/Phoenix");
    time_zone kathmandu = zone("Asia/Kathmandu");
    time_zone utc = zone("Etc/UTC");
    for (const auto month : {std::chrono::January, std::chrono::July}) {
        const local_days day{2026y / month / 1};
        CHECK(offset_in(phoenix, day) == -7h);
        CHECK(offset_in(kathmandu, day) == 5h + 45min);
        CHECK(offset_in(utc, day) == 0h);
    }
    CHECK(utc.name() == "Etc/UTC");
}

TEST_CASE("times that no listed rule reaches stay without an offset") {
    time_zone new_york = zone("America/New_York");
    CHECK(offset_in(new_york, local_days{2037y / std::chrono::December / 31} + 23h) == -5h);
    CHECK(offset_in(new_york, local_days{2038y / std::chrono::January / 1}) == no_offset);
    // Local mean time, four seconds off the minute.
    CHECK(offset_in(new_york, local_days{1850y / std::chrono::January / 1}) == no_offset);
    CHECK(offset_in(new_york, local_days{0y / std::chrono::January / 1}) == no_offset);
}

TEST_CASE("a name that is none is an error with the nearest") {
    const auto error = [](std::string_view name) { return find_time_zone(name).error; };
    CHECK(error("America/New_York").empty());
    CHECK(error("America/NewYork") ==
          "there is no time zone \"America/NewYork\". Did you mean \"America/New_York\"?");
    CHECK(error("new york").ends_with("Did you mean \"America/New_York\"?"));
    CHECK(error("Nowhere/Land/At/All") == "there is no time zone \"Nowhere/Land/At/All\".");
    CHECK(error("../../etc/passwd").starts_with("there is no time zone"));
    CHECK(error("").starts_with("there is no time zone"));
}
