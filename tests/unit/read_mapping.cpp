// Mappings: what they say, what is wrong with them, and that they outrank the names of columns.
#include "read/mapping_file.hpp"
#include "read_support.hpp"

#include <catch2/catch.hpp>

namespace {

using namespace reading;
using read::column_role;

std::string whole(std::string_view text) { return "schema = 1\n" + std::string(text); }

std::string error_of(std::string_view text) {
    const auto parsed = read::parse_mapping(whole(text), "m.toml");
    return parsed.errors.empty() ? "" : parsed.errors.front();
}

file with(std::string_view mapping, std::string_view text) {
    auto parsed = read::parse_mapping(whole(mapping), "m.toml");
    REQUIRE(parsed.errors.empty());
    read::delimited_options options;
    options.mapping = std::make_shared<read::column_mapping>(std::move(parsed.mapping));
    return file(text, options);
}

}  // namespace

TEST_CASE("a mapping says what columns are") {
    const file f = with(R"([columns]
"Run No" = { is = "report" }
"Base" = { is = "crew" }
"When" = { is = "time" }
"Yrs" = { is = "age", unit = "months" }
"Oxygen" = { sign = "saturation", unit = "fraction" }
"Upper" = { sign = "systolic" }
"How" = { is = "pressure_method" }
"No circulation" = { is = "arrest" }
"GCS" = { is = "ignored" }
)",
                        "Run No,Base,When,Yrs,Oxygen,Upper,How,No circulation,GCS\n"
                        "1,M7,2024-03-05T14:32,18,0.98,120,palp,yes,15\n");
    REQUIRE(f.error().empty());
    const care_report& r = f.reports().at(0);
    CHECK(r.id == "1");
    CHECK(r.crew == "M7");
    CHECK(r.age->count() == Approx(1.5));
    const vital_set& set = f.only_set();
    CHECK(set.taken_at);
    CHECK(set.saturation.raw() == Approx(98));
    CHECK(set.systolic.how() == method::palpated);
    CHECK(set.known.known(fact::arrest));
    CHECK(set.coma_total.why_absent() == absence::not_carried);
    CHECK(f.outcome.columns.assumptions.front() == "Read with the mapping m.toml");
    CHECK(f.outcome.columns.columns[4].mapped);
}

TEST_CASE("a mapping outranks names") {
    const file swapped =
        with("[columns]\n\"SBP\" = { sign = \"diastolic\" }\n", "report,SBP,DBP\n1,80,120\n");
    CHECK(swapped.only_set().diastolic.raw() == 80);
    CHECK(swapped.only_set().systolic.why_absent() == absence::not_carried);
    CHECK(swapped.outcome.columns.columns[2].remark == "not used: column 2 \"SBP\" is");
    const file other = with("[columns]\nCase = { is = \"report\" }\nCPR = { is = \"oxygen\" }\n",
                            "report,case,cpr,oxygen,SBP\n1,2,yes,no,120\n");
    CHECK(other.reports().at(0).id == "2");
    CHECK(other.only_set().known.known(fact::oxygen));
    CHECK_FALSE(other.only_set().known.known(fact::compressions));
    // A unit that the header states and the mapping does not is not stated.
    const file unit = with("[columns]\n\"Temp (F)\" = { sign = \"temperature\", unit = \"°C\" }\n",
                           "report,Temp (F)\n1,37\n");
    CHECK(unit.only_set().temperature.raw() == 37);
}

TEST_CASE("headers are compared as they stand, else by letters and digits") {
    const std::string_view to_report = "[columns]\n\"run no.\" = { is = \"report\" }\n";
    CHECK(with(to_report, "Run-No,SBP\n1,120\n").error().empty());
    CHECK(with(to_report, "RunNo,run no.,SBP\n1,2,120\n").reports().at(0).id == "2");
    CHECK(with(to_report, "RunNo,run no,SBP\n1,2,120\n").error() ==
          "the mapping m.toml has \"run no.\", and this file more than one such column");
    // No letter of these is an ASCII one: they are told apart by all of the text.
    const file f = with(
        "[columns]\n\"收缩压 BP\" = { sign = \"systolic\" }\n"
        "\"舒张压 BP\" = { sign = \"diastolic\" }\n",
        "report,收缩压 BP,舒张压 BP\n1,120,80\n");
    CHECK(f.only_set().diastolic.raw() == 80);
    const std::string longer(60, 'x');
    CHECK(with("[columns]\n\"" + longer.substr(0, 40) + "...\" = { sign = \"systolic\" }\n",
               "report," + longer + "\n1,120\n")
              .only_set()
              .systolic.raw() == 120);
}

TEST_CASE("a header that the file does not have is an error with a suggestion") {
    CHECK(with("[columns]\n\"Oxigen\" = { sign = \"saturation\" }\n", "report,Oxygen\n1,98\n")
              .error() ==
          "the mapping m.toml has \"Oxigen\", and this file no such column. Did you mean "
          "\"Oxygen\"?");
    CHECK(
        with("[columns]\na = { sign = \"pulse\" }\nA = { is = \"ignored\" }\n", "report,a.\n1,98\n")
            .error() == "the mapping m.toml has \"a\", a column that it names twice");
}

TEST_CASE("mistakes in a mapping are errors with their line and a suggestion") {
    CHECK(read::parse_mapping("[columns]\n", "m.toml")
              .errors.at(0)
              .starts_with("m.toml: there is no schema"));
    CHECK(read::parse_mapping("schema = 1\n[columns\n", "m.toml")
              .errors.at(0)
              .starts_with("m.toml:2: this is not TOML"));
    const std::vector<std::pair<std::string_view, std::string_view>> wrong{
        {"[column]\n",
         "\"column\" stands outside [columns] and [signs]. Did you mean \"columns\"?"},
        {"a = { is = \"crew\" }\n", "\"a\" stands outside [columns] and [signs]."},
        {"[columns]\na = \"pulse\"\n", "\"a\" needs either"},
        {"[columns]\na = { unit = \"%\" }\n", "\"a\" needs either"},
        {"[columns]\na = { sign = \"pulse\", is = \"crew\" }\n", "\"a\" needs either"},
        {"[columns]\na = { sign = \"pulse\", units = \"/min\" }\n",
         "\"a\" has no \"units\". Did you mean \"unit\"?"},
        {"[columns]\na = { sign = 1 }\n", "\"sign\" of \"a\" is a text in quotes."},
        {"[columns]\na = { sign = \"saturaton\" }\n",
         "there is no sign \"saturaton\". Did you mean \"saturation\"?"},
        {"[columns]\na = { sign = \"saturation\", unit = \"mmHg\" }\n",
         "\"mmHg\" is not a unit of oxygen saturation, which is in % or fraction."},
        {"[columns]\na = { sign = \"glucose\", unit = \"mmol/K\" }\n",
         "\"mmol/K\" is not a unit of blood glucose, which is in mg/dL or mmol/L. Did you mean "
         "\"mmol/L\"?"},
        {"[columns]\na = { is = \"reprot\" }\n",
         "a column cannot be \"reprot\". Did you mean \"report\"?"},
        {"[columns]\na = { is = \"pulse\" }\n",
         "a column cannot be \"pulse\". Write { sign = \"pulse\" }."},
        {"[columns]\na = { is = \"palpated\" }\n", "a column cannot be \"palpated\"."},
        {"[columns]\na = { is = \"crew\", unit = \"%\" }\n",
         "\"a\" is neither a sign nor an age, and has no unit."},
        {"[columns]\na = { is = \"age\", unit = \"month\" }\n",
         "\"month\" is not a unit of an age: years, months, weeks, days, hours, minutes. Did you "
         "mean "
         "\"months\"?"},
        {"[columns]\na = { is = \"crew\" }\nb = { is = \"crew\" }\n", "are said to be the same"},
        {"[columns]\na = { sign = \"pulse\" }\nb = { sign = \"pulse\" }\n",
         "are said to be the same"},
        {"report = \"bed 4\"\n", "is written as report = { value = \"26-0113\" }"},
        {"report = { value = \" \" }\n", "is written as report = { value"},
        {"report = { value = \"a\\nb\" }\n", "is written as report = { value"},
        {"report = { value = 4 }\n", "is written as report = { value"},
        {"report = { value = \"4\", column = \"a\" }\n", "is written as report = { value"},
        {"report = { value = \"4\" }\n[columns]\na = { is = \"report\" }\n",
         "the report is stated, and \"a\" is said to hold it"},
        {"[columns]\na = { is = \"crew\", set = 1 }\n", "\"a\" is not of one set"},
        {"[columns]\na = { is = \"value\", set = 1 }\n", "\"a\" is not of one set"},
        {"[columns]\na = { sign = \"pulse\", set = 100 }\n", "a whole number from 0 to 99"},
        {"[columns]\na = { sign = \"pulse\", set = \"1\" }\n", "a whole number from 0 to 99"},
        {"[columns]\na = { sign = \"pulse\", set = 1 }\nb = { sign = \"pulse\", set = 1 }\n",
         "\"a\" and \"b\" are said to be the same"},
        {"[signs]\na = { sign = \"pulse\", set = 1 }\n", "\"a\" has no \"set\""},
        {"[signs]\na = { is = \"crew\" }\n", "\"a\" in [signs] is a sign, { is = \"pressures\" }"},
    };
    for (const auto& [text, expected] : wrong) {
        CAPTURE(text);
        const std::string error = error_of(text);
        CHECK(error.starts_with("m.toml:"));
        CHECK(error.find(expected) != std::string::npos);
    }
    CHECK(error_of("[columns]\na = { is = \"ignored\" }\nb = { is = \"ignored\" }\n").empty());
}

TEST_CASE("a mapping says of which set a column is, whatever its name") {
    const file f = with(R"([columns]
"First" = { sign = "systolic", set = 1 }
"Second" = { sign = "systolic", unit = "kPa", set = 4 }
"At" = { is = "time", set = 4 }
"SBP 3" = { is = "ignored" }
)",
                        "report,First,Second,At,SBP 3,HR 1,HR\n"
                        "A,120,16,2026-03-01T10:10,99,70,80\n");
    REQUIRE(f.error().empty());
    const auto& sets = f.reports().at(0).sets;
    REQUIRE(sets.size() == 3);  // HR without a number comes before HR 1
    CHECK(sets[0].pulse.raw() == 80);
    CHECK(sets[1].systolic.raw() == 120);
    CHECK(sets[1].pulse.raw() == 70);
    CHECK_FALSE(sets[1].taken_at);
    CHECK(sets[2].systolic.raw() == Approx(120.01).margin(0.01));
    CHECK(sets[2].taken_at);
}

TEST_CASE("what a mapping says of one set leaves the names of other sets alone") {
    const std::string_view text = "report,SBP 1,SBP 2,Upper\nA,120,130,110\n";
    const file of_second = with("[columns]\nUpper = { sign = \"systolic\", set = 2 }\n", text);
    REQUIRE(of_second.reports().at(0).sets.size() == 2);
    CHECK(of_second.reports()[0].sets[0].systolic.raw() == 120);
    CHECK(of_second.reports()[0].sets[1].systolic.raw() == 110);
    CHECK(of_second.outcome.columns.columns[2].remark == "not used: column 4 \"Upper\" is");
}

TEST_CASE("a mapping may state the report of every row") {
    const std::string_view stated = "report = { value = \"bed 4\" }\n[columns]\n";
    const std::string_view text = "ID,SBP,HR\n1,120,70\nID,SBP,HR\n,121,71\n,,\n4,122,72,surplus\n";
    const file f = with(stated, text);
    REQUIRE(f.error().empty());
    REQUIRE(f.reports().size() == 1);
    CHECK(f.reports()[0].id == "bed 4");
    CHECK(f.reports()[0].sets.size() == 2);
    CHECK(f.outcome.rows_other == 1);
    REQUIRE(f.kept.unread_rows.size() == 2);
    CHECK(f.kept.unread_rows[0].reason == "the header again");
    CHECK(f.adds_up());
    CHECK(f.outcome.columns.columns[0].role == column_role::ignored);
    CHECK(f.outcome.columns.assumptions[1] ==
          "Every row is of the report \"bed 4\", as the mapping says");
    // Without the statement there is no guess.
    CHECK(file("SBP,HR\n120,70\n").error().starts_with("no column names the report"));
    const file lines = with(stated, "Title\nvital,value\nSBP,120\nDBP,80\n");
    CHECK(lines.only_set().diastolic.raw() == 80);
}

TEST_CASE("titles above a header that a mapping alone understands are not read") {
    const std::string_view mapping =
        "[columns]\nRun = { is = \"report\" }\nUpper = { sign = \"systolic\" }\n";
    const file f = with(mapping, "Run,of March\nprinted;by;hand;of;nobody\nRun;Upper\nA;120\n");
    REQUIRE(f.error().empty());
    CHECK(f.only_set().systolic.raw() == 120);
    CHECK(f.outcome.columns.assumptions.back().find("semicolon") != std::string::npos);
    // A second header in the words of the mapping is none of the rows.
    const file twice = with(mapping, "Run,Upper,SBP\nRun,Upper,Other\nA,120,1\n");
    CHECK(twice.outcome.rows_unread == 1);
    CHECK(twice.outcome.rows_examined == 1);
}

TEST_CASE("titles above a header of the long form are not read") {
    const file f("Export of March,\nreport,vital,value\nA,SBP,120\n");
    REQUIRE(f.error().empty());
    CHECK(f.only_set().systolic.raw() == 120);
}

TEST_CASE("a mapping says which names in the rows of the long form are signs") {
    const file f = with(R"([columns]
"What" = { is = "sign_name" }
"Much" = { is = "value" }
"Of" = { is = "value_unit" }
[signs]
"O2 Level" = { sign = "saturation", unit = "fraction" }
"Warmth" = { sign = "temperature" }
"Pulse" = { is = "ignored" }
)",
                        "report,What,Much,Of\n1,o2 level,0.98,\n1,Warmth,98.6,F\n1,Pulse,80,\n"
                        "1,RR,16,\n");
    REQUIRE(f.error().empty());
    CHECK(f.only_set().saturation.raw() == Approx(98));
    CHECK(f.only_set().temperature.raw() == Approx(37));
    CHECK(f.only_set().pulse.why_absent() == absence::not_carried);
    CHECK(f.only_set().respiratory_rate.raw() == 16);
    CHECK(f.outcome.rows_other == 1);
}

TEST_CASE("a mapping may make a long form of a file with columns of signs, not half of one") {
    const std::string_view text = "report,what,value,GCS\n1,SBP,120,15\n";
    const file f = with("[columns]\nwhat = { is = \"sign_name\" }\n", text);
    CHECK(f.only_set().systolic.raw() == 120);
    CHECK(f.outcome.columns.columns[3].role == column_role::ignored);
    CHECK(f.outcome.columns.columns[3].remark ==
          "not used: the mapping says that one row is one reading");
    CHECK(with("[columns]\nwhat = { is = \"value\" }\n", text).error() ==
          "a column holds the values of signs, and none names the sign");
    CHECK(with("[columns]\nwhat = { is = \"sign_name\" }\nvalue = { is = \"crew\" }\n", text)
              .error() == "a column names the sign in each row, and none holds its value");
    CHECK(with("[columns]\nwhat = { is = \"sign_name\" }\nGCS = { sign = \"coma_total\" }\n", text)
              .error()
              .starts_with("the mapping gives a sign a column of its own"));
    const file wide = with("[signs]\nx = { sign = \"pulse\" }\n", "report,SBP\n1,120\n");
    CHECK(
        wide.outcome.columns.assumptions.back().starts_with("[signs] of the mapping is not used"));
}
