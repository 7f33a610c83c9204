// Cells with a whole blood pressure, by themselves and in a file.
#include "read/pressure_cell.hpp"
#include "read_support.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <string>
#include <string_view>
#include <vector>

namespace {

using namespace reading;
using namespace vitalproof::read;

// A part in short: a number, the reason there is none, or `?`.
std::string shown(const cell_value& cell) {
    switch (cell.state) {
        case reading_state::number:
            return std::to_string(std::lround(cell.value)) + (cell.palpated ? "p" : "");
        case reading_state::above:
            return "above";
        case reading_state::below:
            return "below";
        case reading_state::unreadable:
            return "?";
        case reading_state::absent:
            break;
    }
    if (cell.palpated) {
        return "felt";
    }
    return cell.why == absence::blank     ? "blank"
           : cell.why == absence::refused ? "refused"
           : cell.why == absence::unable  ? "unable"
                                          : "absent";
}

std::string shown(std::string_view text, const cell_rules& rules = {}) {
    const pressure_cell cell = read_pressure_cell(text, rules);
    return shown(cell.systolic) + " " + shown(cell.diastolic) + " " + shown(cell.mean);
}

constexpr cell_rules stated_kilopascal{.unit = charted_unit::kilopascal, .unit_stated = true};

}  // namespace

TEST_CASE("pressures of one cell") {
    const std::vector<std::pair<std::string_view, std::string_view>> cells{
        {"120/80", "120 80 blank"},
        {" 120 / 80 ", "120 80 blank"},
        {"120/80 mmHg", "120 80 blank"},
        {"120/80mmHg", "120 80 blank"},
        {"120/80 (93)", "120 80 93"},
        {"120/80(93)", "120 80 93"},
        {"120/80 (93) mmHg", "120 80 93"},
        {"120/80 (93 mmHg)", "120 80 93"},
        {"120/80 mmHg (93)", "120 80 93"},
        {"120/80 ()", "120 80 blank"},
        {"120/80/93", "120 80 93"},
        {"110/P", "110 felt blank"},
        {"110/palp", "110 felt blank"},
        {"110 palp", "110p felt blank"},
        {"110P", "110p felt blank"},
        {"120/", "120 blank blank"},
        {"/80", "blank 80 blank"},
        {"120/-", "120 blank blank"},
        {">300/120", "above 120 blank"},
        {"LO/LO", "below below blank"},
        {"", "blank blank blank"},
        {" - ", "blank blank blank"},
        {"refused", "refused refused blank"},
        {"Unable", "unable unable blank"},
        {"N/A", "absent absent blank"},
        {"refused/unable", "refused unable blank"},
        {"12O/80", "? 80 blank"},
        {"120/8O", "120 ? blank"},
        {"120/80 (9E)", "120 80 ?"},
        {"120/80/93/5", "120 80 ?"},
        {"120/80 (93) left", "120 80 93"},
        {"120/80 (93) ill", "120 80 ?"},
        {"120/80 left arm", "120 80 blank"},
        {"left arm 120/80", "120 80 blank"},
        {"BP 120/80", "120 80 blank"},
        {"RR 120/80", "? 80 blank"},
        {"120/80 ill", "120 ? blank"},
        {"120/80 (93", "120 ? blank"},
        {"P/80", "? 80 blank"},
        {"not taken", "absent absent blank"},
        {"not sure", "? ? blank"},
        {"120", "? ? blank"},
        {"HI", "? ? blank"},
        {"120-80", "? ? blank"},
        {"(93)", "? ? blank"},
    };
    for (const auto& [text, expected] : cells) {
        INFO(text);
        CHECK(shown(text) == expected);
    }
}

TEST_CASE("pressures of one cell in its unit or the column's") {
    CHECK(shown("16/10.7", stated_kilopascal) == "120 80 blank");
    CHECK(shown("16/10.7 kPa") == "120 80 blank");
    CHECK(shown("16/10.7 (12.4) kPa") == "120 80 93");
    CHECK(shown("16,0/10,7", {.unit = charted_unit::kilopascal, .decimal_comma = true}) ==
          "120 80 blank");
    // A unit that contradicts the header, or is none of a pressure's.
    CHECK(shown("120/80 mmHg", stated_kilopascal) == "? ? blank");
    CHECK(shown("120/80 bpm") == "? ? blank");
}

TEST_CASE("each part shows what it was charted as, where it is no plain number") {
    const auto charted = [](std::string_view text) {
        const pressure_cell cell = read_pressure_cell(text, {});
        return std::vector{cell.systolic.charted.display(), cell.diastolic.charted.display(),
                           cell.mean.charted.display()};
    };
    using texts = std::vector<std::string>;
    CHECK(charted("120/80 (93)") == texts(3, ""));
    CHECK(charted("/80") == texts(3, ""));
    CHECK(charted("110/P") == texts{"", "P", ""});
    CHECK(charted("120/8O") == texts{"", "8O", ""});
    CHECK(charted("16/10 kPa") == texts{"16 kPa", "10 kPa", ""});
    CHECK(charted("refused") == texts(3, ""));
    CHECK(charted("120/Smith") == texts{"", "text of 5 characters", ""});
    CHECK(charted("John Smith") == texts{"text of 10 characters", "text of 10 characters", ""});
}

TEST_CASE("a file with whole pressures") {
    const file month(
        "report,BP,MAP,pulse\n"
        "A,120/80 (93),,70\n"
        "B,120/80 (93),95,70\n"
        "C,110/P,,\n"
        "D,,,70\n"
        "E,,,\n"
        "F,refused,,\n");
    REQUIRE(month.error().empty());
    REQUIRE(month.reports().size() == 5);
    const auto set = [&](std::size_t i) -> const vital_set& { return month.reports()[i].sets[0]; };
    CHECK(set(0).systolic.raw() == 120);
    CHECK(set(0).diastolic.raw() == 80);
    CHECK(set(0).mean_pressure.raw() == 93);
    CHECK(set(1).mean_pressure.raw() == 95);
    CHECK(set(2).systolic.how() == method::palpated);
    CHECK(set(2).diastolic.why_absent() == absence::not_applicable);
    CHECK(set(3).systolic.why_absent() == absence::blank);
    CHECK(set(3).diastolic.why_absent() == absence::blank);
    CHECK(set(4).systolic.why_absent() == absence::refused);
    CHECK(month.outcome.rows_other == 1);
    CHECK(month.adds_up());
}

TEST_CASE("a mean that no cell holds is not carried") {
    const file month("report,BP\nA,120/80\n");
    CHECK(month.only_set().mean_pressure.why_absent() == absence::not_carried);
}
