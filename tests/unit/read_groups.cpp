// Rows that hold several sets.
#include "read_support.hpp"

#include <catch2/catch.hpp>

namespace {

using namespace reading;

std::vector<double> systolics(const file& f) {
    std::vector<double> values;
    for (const care_report& report : f.reports()) {
        for (const vital_set& set : report.sets) {
            values.push_back(set.systolic.raw());
        }
    }
    return values;
}

}  // namespace

TEST_CASE("a row of several sets") {
    const file week(
        "report,crew,age,CPR,SBP 2,SBP 1,HR 1,HR 2,Time 1,Time 2\n"
        "A,M1,70,yes,130,120,70,75,2026-03-01T10:00,2026-03-01T10:10\n"
        "B,M2,30,,131,,,76,,2026-03-01T11:10\n"
        "C,M2,30,,,,,,2026-03-01T11:10,\n"
        "D,,,,132,122,,,,\n"
        "D,,,,133,refused,,,,\n");
    REQUIRE(week.error().empty());
    REQUIRE(week.reports().size() == 3);
    CHECK(systolics(week)[0] == 120);
    CHECK(systolics(week)[1] == 130);
    CHECK(systolics(week)[2] == 131);
    const care_report& first = week.reports()[0];
    REQUIRE(first.sets.size() == 2);
    CHECK(first.crew == "M1");
    CHECK(first.sets[0].pulse.raw() == 70);
    CHECK(first.sets[1].pulse.raw() == 75);
    CHECK(first.sets[1].taken_at->local - first.sets[0].taken_at->local ==
          std::chrono::minutes(10));
    CHECK(first.sets[0].known.is(fact::arrest) == first.sets[1].known.is(fact::arrest));
    CHECK(week.reports()[2].sets.size() == 4);
    CHECK(week.reports()[2].sets[2].systolic.why_absent() == absence::refused);
    CHECK(week.kept.first_lines == std::vector<std::uint64_t>{2, 3, 5});
    CHECK(week.outcome.rows_read == 5);
    CHECK(week.outcome.rows_examined == 4);
    CHECK(week.outcome.rows_other == 1);
    CHECK(week.adds_up());
}

TEST_CASE("a sign that a group lacks is not carried in its sets") {
    const file week("report,SBP 1,Glucose 1,SBP 2\nA,120,90,130\n");
    REQUIRE(week.reports().at(0).sets.size() == 2);
    const auto& sets = week.reports()[0].sets;
    CHECK(sets[0].glucose.raw() == 90);
    CHECK(sets[1].glucose.why_absent() == absence::not_carried);
    CHECK(sets[1].line == 2);
}

TEST_CASE("whole pressures in groups") {
    const file week("report,BP1,HR1,BP2,HR2\nA,120/80,70,130/90 (103),75\n");
    REQUIRE(week.error().empty());
    const auto& sets = week.reports().at(0).sets;
    REQUIRE(sets.size() == 2);
    CHECK(sets[0].diastolic.raw() == 80);
    CHECK(sets[1].diastolic.raw() == 90);
    CHECK(sets[1].mean_pressure.raw() == 103);
}

TEST_CASE("a context of the group outranks that of the row") {
    const file week("report,CPR,SBP 1,SBP 2,CPR 2\nA,yes,120,130,no\n");
    const auto& sets = week.reports().at(0).sets;
    CHECK(sets.at(0).known.is(fact::compressions));
    CHECK_FALSE(sets.at(1).known.is(fact::compressions));
}

TEST_CASE("a cell that sets of a row share is complained of once") {
    const file week("report,Time,CPR,SBP 1,SBP 2\nA,noon,maybe,120,130\nA,noon,maybe,120,130\n");
    CHECK(week.outcome.unreadable_times.count == 2);
    CHECK(week.outcome.unreadable_context.count == 2);
    CHECK(week.kept.notes.size() == 4);
}

TEST_CASE("a row of several sets is said of the file") {
    const file week("report,SBP 1,SBP 2\nA,120,130\n");
    REQUIRE(week.outcome.columns.assumptions.size() == 1);
    CHECK(week.outcome.columns.assumptions[0] ==
          "Each row holds up to 2 sets, by the numbers 1 to 2 in its columns' names");
}
