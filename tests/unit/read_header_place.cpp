// Lines above the header, and examples of what stands below it.
#include "read/delimiter.hpp"
#include "read_support.hpp"

#include <catch2/catch.hpp>

namespace {

using namespace reading;

constexpr std::string_view week = "report,pulse\nA,70\n";

std::vector<std::string> said(const file& f) { return f.outcome.columns.assumptions; }

}  // namespace

TEST_CASE("lines above the header are skipped, counted and said") {
    for (const auto& [above, lines] : {std::pair("Vitals report\n", 1),
                                       {"Vitals report,\n", 1},
                                       {"Acme EMS\nfrom 2026-03-01,to 2026-03-31\n\n", 3},
                                       {"Report,Week 12\n,,\n", 2},
                                       {"\n\"Acme\nEMS\"\n\n", 4},
                                       {"\"Acme EMS\nWeek 12\n", 2},
                                       {"O\"Brien, for\n\"the week\", all\n", 2}}) {
        INFO(above);
        const file f(std::string(above) + std::string(week));
        CHECK(f.error().empty());
        CHECK(f.outcome.rows_read == 1);
        REQUIRE(f.reports().size() == 1);
        CHECK(f.only_set().pulse.raw() == 70);
        CHECK(f.only_set().line == static_cast<std::uint64_t>(lines) + 2);
        CHECK(said(f) == std::vector{lines == 1 ? "Line 1 stands above the header and was not read"s
                                                : "Lines 1-" + std::to_string(lines) +
                                                      " stand above the header and were not read"});
    }
}

TEST_CASE("a stray quote above the header takes no quoted header with it") {
    const file f("\"Acme EMS\n\"report\",\"pulse\"\n\"A\",\"70\"\n");
    CHECK(f.error().empty());
    REQUIRE(f.reports().size() == 1);
    CHECK(said(f) == std::vector{"Line 1 stands above the header and was not read"s});
}

TEST_CASE("a header on the first line, or behind empty lines, is as ever") {
    CHECK(said(file(week)).empty());
    CHECK(said(file("\n\n" + std::string(week))).empty());
    // What looks like a header again below the first is one of its rows.
    const file twice("report,pulse\nreport,pulse\nA,70\n");
    CHECK(said(twice).empty());
    CHECK(twice.kept.unread_rows.size() == 1);
}

TEST_CASE("where no line is a header, the first is spoken of") {
    const file f("name,SBP\nA,120\n");
    CHECK(f.error() == "no column names the report; the header is \"name\", \"SBP\"");
    CHECK(said(f).empty());
    const file nothing("Acme EMS\nA,120\n");
    CHECK(nothing.error().find("Acme") == std::string::npos);
}

TEST_CASE("the header must be among the first twenty lines") {
    const auto below = [](int lines) {
        std::string text;
        for (int i = 0; i < lines; ++i) {
            text += "title\n";
        }
        return file(text + std::string(week));
    };
    CHECK(below(19).error().empty());
    CHECK_FALSE(below(20).error().empty());
}

TEST_CASE("what is wrong with a header below titles is told of it") {
    CHECK(file("Acme EMS\nreport,SBP,Systolic\nA,120,120\n").error() ==
          "columns 2 \"SBP\" and 3 \"Systolic\" could both be the systolic");
}

TEST_CASE("the header's line and delimiter are found together") {
    const auto place = read::find_header("Week 12, all crews\n\nreport;pulse\n");
    CHECK(place.delimiter == ';');
    CHECK(place.line == 3);
    CHECK(read::find_header("name,size\n").line == 0);
    read::tokenizer_options stated;
    stated.delimiter = ';';
    CHECK(read::find_header("report,pulse\nreport;pulse\n", stated).line == 2);
}

TEST_CASE("examples are of vital signs and times alone, distinct and few") {
    constexpr std::string_view text =
        "report,crew,time,BP,pulse,note,age\n"
        "26-1,M1,2026-03-01T10:00,120/80,70,calm,60\n"
        "26-2,M2,25-Mar-2026 10:00,refused,70,calm,61\n"
        "26-3,M2,John at 10:00,John Doe,71,calm,62\n"
        "26-4,M2,,110/P,72,calm,62,shifted\n"
        "26-5,M2,2026-03-01T10:00,,73,calm,62\n"
        "26-6,M2,,,74,calm,62\n";
    read::delimited_options options;
    options.examples = 3;
    const auto columns = file(text, options).outcome.columns.columns;
    using texts = std::vector<std::string>;
    CHECK(columns[2].examples == texts{"2026-03-01T10:00", "25-Mar-2026 10:00"});
    CHECK(columns[3].examples == texts{"120/80", "refused"});
    CHECK(columns[4].examples == texts{"70", "71", "73"});
    for (const std::size_t i : {0U, 1U, 5U, 6U}) {
        CHECK(columns[i].examples.empty());
    }
    for (const auto& c : file(text).outcome.columns.columns) {
        CHECK(c.examples.empty());
    }
}
