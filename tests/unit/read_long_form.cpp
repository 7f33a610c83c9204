// The long form: which headers are one, how rows become sets, units, names, and the account of
// rows.
#include "read/loinc.hpp"
#include "read_support.hpp"

#include <catch2/catch.hpp>

namespace {

using namespace reading;
using read::column_role;

constexpr std::string_view head = "report,time,sign,value,uom\n";

file of(std::string_view rows) { return file(std::string(head) + std::string(rows)); }

// A reading by itself, from one row.
vital_set lone(std::string_view name, std::string_view value, std::string_view unit) {
    const file f = of("R1,10:00," + std::string(name) + ',' + std::string(value) + ',' +
                      std::string(unit) + '\n');
    REQUIRE(f.error().empty());
    REQUIRE(f.adds_up());
    REQUIRE(f.outcome.rows_examined == 1);
    return f.only_set();
}

std::vector<std::size_t> sets_of(const file& f) {
    std::vector<std::size_t> sets;
    for (const care_report& r : f.reports()) {
        sets.push_back(r.sets.size());
    }
    return sets;
}

bool says(const file& f, std::string_view words) {
    return std::ranges::any_of(f.outcome.columns.assumptions, [&](const std::string& said) {
        return said.find(words) != std::string::npos;
    });
}

column_role role_of(std::string_view text, std::size_t column) {
    return file(text).outcome.columns.columns.at(column).role;
}

}  // namespace

TEST_CASE("rows of one report and time are one set") {
    const file f =
        of("R1,10:00,SBP,120,mmHg\n"
           "R1,10:00,DBP,80,mmHg\n"
           "R1,10:05,SBP,118,mmHg\n"
           "R2,10:05,DBP,70,mmHg\n");
    CHECK(f.error().empty());
    CHECK(f.adds_up());
    CHECK(f.outcome.rows_examined == 4);
    CHECK(sets_of(f) == std::vector<std::size_t>{2, 1});
    const vital_set& first = f.only_set();
    CHECK(first.systolic.raw() == 120);
    CHECK(first.diastolic.raw() == 80);
    CHECK(first.line == 2);
    CHECK(f.reports()[0].sets[1].line == 4);
    CHECK(f.kept.first_lines == std::vector<std::uint64_t>{2, 5});
    CHECK(says(f, "One row is one reading"));
}

TEST_CASE("a sign that the file names is blank where a set lacks it, others are not carried") {
    const file f = of("R1,10:00,SBP,120,\nR1,10:05,DBP,80,\nR1,10:05,Temp,37,C\n");
    const vital_set& first = f.only_set();
    CHECK(first.diastolic.state() == reading_state::absent);
    CHECK(first.diastolic.why_absent() == absence::blank);
    CHECK(first.temperature.why_absent() == absence::blank);
    CHECK(first.pulse.why_absent() == absence::not_carried);
    const auto& missing = f.outcome.columns.signs_not_carried;
    CHECK(missing.size() == sign_count - 3);
    CHECK(std::ranges::find(missing, sign_id::diastolic) == missing.end());
}

TEST_CASE("a sign that comes twice at one time begins another set") {
    const file f = of("R1,10:00,SBP,120,\nR1,10:00,DBP,80,\nR1,10:00,SBP,130,\nR1,10:00,RR,16,\n");
    REQUIRE(sets_of(f) == std::vector<std::size_t>{2});
    CHECK(f.reports()[0].sets[0].respiratory_rate.state() == reading_state::absent);
    CHECK(f.reports()[0].sets[1].systolic.raw() == 130);
    CHECK(f.reports()[0].sets[1].respiratory_rate.raw() == 16);
}

TEST_CASE("a row may hold a whole blood pressure") {
    for (const auto name : {"BP", "NIBP", "nbp", "ABP", "Blood Pressure", "BP (mmHg)"}) {
        CAPTURE(name);
        const vital_set set = lone(name, "120/80", "");
        CHECK(set.systolic.raw() == 120);
        CHECK(set.diastolic.raw() == 80);
        CHECK(set.mean_pressure.why_absent() == absence::not_carried);
    }
    CHECK(lone("BP", "120/80 (93)", "").mean_pressure.raw() == 93);
    CHECK(lone("BP", "16/10.6", "kPa").systolic.raw() == Approx(120.01).margin(0.01));
    CHECK(lone("BP", "16/10.6", "kPa").charted[sign::systolic{}].text() == "16 kPa");
    const vital_set felt = lone("BP", "110/P", "mmHg");
    CHECK(felt.systolic.how() == method::palpated);
    CHECK(felt.diastolic.how() == method::palpated);
    CHECK(lone("BP", "refused", "").diastolic.why_absent() == absence::refused);
    CHECK(lone("BP", "120", "").systolic.state() == reading_state::unreadable);
    CHECK(lone("BP", "120/80", "%").diastolic.state() == reading_state::unreadable);
}

TEST_CASE("a whole pressure gives both halves, so that either twice begins another set") {
    const file f =
        of("R1,10:00,BP,120/80,\nR1,10:00,HR,70,\nR1,10:00,MAP,93,\nR1,10:00,DBP,82,\n"
           "R1,10:05,SBP,118,\n");
    REQUIRE(sets_of(f) == std::vector<std::size_t>{3});
    CHECK(f.reports()[0].sets[0].mean_pressure.raw() == 93);
    CHECK(f.reports()[0].sets[1].diastolic.raw() == 82);
    CHECK(f.outcome.rows_examined == 5);
    CHECK(says(f, "Unit not stated, assumed: systolic in mmHg, diastolic in mmHg"));
    CHECK(f.outcome.columns.measures.front().pressures);
}

TEST_CASE("times that are blank, or that cannot be read, are compared as text") {
    CHECK(sets_of(of("R1,,SBP,120,\nR1,,DBP,80,\n")) == std::vector<std::size_t>{1});
    const file f = of("R1,noon,SBP,120,\nR1,noon,DBP,80,\nR1,late,RR,16,\n");
    CHECK(sets_of(f) == std::vector<std::size_t>{2});
    CHECK(f.outcome.unreadable_times.count == 2);  // once a set
    const file no_time("report,vital,result\nR1,SBP,120\nR1,DBP,80\n");
    CHECK(sets_of(no_time) == std::vector<std::size_t>{1});
    CHECK_FALSE(no_time.only_set().taken_at);
}

TEST_CASE("a date in a column of its own parts sets as well") {
    const file f(
        "report,date,time,vital,value\n"
        "R1,2024-03-05,10:00,SBP,120\n"
        "R1,2024-03-06,10:00,DBP,80\n");
    REQUIRE(sets_of(f) == std::vector<std::size_t>{2});
    CHECK(f.reports()[0].sets[0].taken_at != f.reports()[0].sets[1].taken_at);
}

TEST_CASE("rows without a vital sign or a value are other, and part no set") {
    const file f =
        of("R1,10:00,SBP,120,\n"
           "R1,10:00,Weight,80,kg\n"
           "R1,10:00,Resp Rate,,\n"
           "R1,10:00,DBP,80,\n"
           "R3,10:00,Weight,80,kg\n"
           ",10:00,SBP,120,\n"
           "R1,10:00,SBP,120,,,more\n");
    CHECK(f.adds_up());
    CHECK(f.outcome.rows_read == 7);
    CHECK(f.outcome.rows_examined == 2);
    CHECK(f.outcome.rows_other == 3);
    CHECK(f.outcome.rows_unread == 2);
    CHECK(sets_of(f) == std::vector<std::size_t>{1});
}

TEST_CASE("a value that cannot be read is an unreadable reading, an absence keeps its reason") {
    CHECK(lone("SBP", "12O", "").systolic.state() == reading_state::unreadable);
    CHECK(lone("SBP", "refused", "").systolic.why_absent() == absence::refused);
    CHECK(lone("Glucose", "HI", "mg/dL").glucose.state() == reading_state::above);
    CHECK(lone("SBP", "110/P", "").diastolic.how() == method::palpated);
    CHECK(lone("AVPU", "V", "score").responsiveness.is_number());
}

TEST_CASE("a unit comes from its column, else from the name, else it is assumed and said") {
    CHECK(lone("Temp", "98.6", "[degF]").temperature.raw() == Approx(37));
    CHECK(lone("Temp (F)", "98.6", "").temperature.raw() == Approx(37));
    CHECK(lone("Temp (F)", "98.6", "N/A").temperature.raw() == Approx(37));
    CHECK(lone("Temp", "98.6 F", "").temperature.raw() == Approx(37));
    CHECK(lone("Temp", "37", "").temperature.raw() == 37);
    CHECK(lone("Glucose", "5", "mmol/L").glucose.raw() == Approx(90.078));
    CHECK(lone("GCS", "15", "{score}").coma_total.raw() == 15);
    CHECK(says(of("R1,1,Temp,37,\nR1,2,Temp,37,\n"), "assumed: temperature in °C"));
    CHECK(says(of("R1,1,SBP,120,\nR1,1,Temp,37,\n"), "systolic in mmHg, temperature in °C"));
    CHECK_FALSE(says(of("R1,1,Temp,37,C\nR1,1,RR,16,\n"), "assumed"));
}

TEST_CASE("values of a name that can hardly be in the assumed unit are read in the one they fit") {
    const auto rows = [](std::string_view unit, int count) {
        std::string text;
        for (int i = 0; i < count; ++i) {
            const std::string at = "R" + std::to_string(i) + ",10:00,";
            text += at + "Temp,98.6," + std::string(unit) + '\n';
            text += at + "BGL,5.5,mg/dL\n";
        }
        return text;
    };
    const file many = of(rows("", 20));
    CHECK(many.only_set().temperature.raw() == Approx(37));
    CHECK(many.only_set().charted[sign::temperature{}].text() == "98.6 °F");
    CHECK(says(many, "Temp: 20 of the first 20 values can hardly be anything but °F: read so"));
    CHECK_FALSE(says(many, "assumed: temperature"));
    // A stated unit stands, and too few values decide nothing.
    CHECK(many.only_set().glucose.raw() == 5.5);
    CHECK(of(rows("C", 20)).only_set().temperature.raw() == 98.6);
    const file few = of(rows("", 19));
    CHECK(few.only_set().temperature.raw() == 98.6);
    CHECK(says(few, "assumed: temperature in °C"));
    // Where the column called unit is the crew's, as where there is none.
    const file crew("report,vital,value,unit\n" + [] {
        std::string text;
        for (int i = 0; i < 20; ++i) {
            text += "R" + std::to_string(i) + ",Temp,98.6,M" + std::to_string(i) + '\n';
        }
        return text;
    }());
    CHECK(crew.only_set().temperature.raw() == Approx(37));
    CHECK(crew.reports().at(0).crew == "M0");
}

TEST_CASE("signs in a unit that the first rows do not state") {
    const auto assumed = [](std::string_view rows) {
        const file read = of(rows);
        std::vector<sign_id> signs;
        for (const auto& of_sign : read.outcome.columns.assumed_units) {
            signs.push_back(of_sign.sign);
        }
        return signs;
    };
    using signs = std::vector<sign_id>;
    CHECK(assumed("R1,10:00,BGL,5.5,\nR1,10:00,Temp F,98.6,\n") == signs{sign_id::glucose});
    CHECK(assumed("R1,10:00,BGL,5.5,mg/dL\n").empty());
    CHECK(assumed("R1,10:00,BGL,5.5,\nR1,10:05,Glucose,110,mg/dL\n").empty());
}

TEST_CASE("a value in a unit that is none of its sign's, or contradicts its name, is unreadable") {
    for (const auto& [name, unit] : {std::pair{"Temp", "mmHg"}, std::pair{"Temp", "kelvin"},
                                     std::pair{"Temp (F)", "C"}, std::pair{"Temp (mmHg)", ""}}) {
        CAPTURE(name, unit);
        CHECK(lone(name, "37", unit).temperature.state() == reading_state::unreadable);
        CHECK(lone(name, "refused", unit).temperature.why_absent() == absence::refused);
    }
    CHECK(lone("Temp", "37", "mmHg").charted[sign::temperature{}].display() == "37 mmHg");
    CHECK(lone("Temp", "37", "Smith").charted[sign::temperature{}].display() == "37");
    CHECK(says(of("R1,1,Temp,37,C\nR1,2,Temp,37,kPa\nR1,3,Temp,37,kPa\n"),
               "unreadable: 2, first in line 3"));
}

TEST_CASE("signs by LOINC code") {
    CHECK(lone("8480-6", "120", "mm[Hg]").systolic.raw() == 120);
    CHECK(lone("LOINC:8462-4", "80", "").diastolic.raw() == 80);
    CHECK(lone("15074-8", "5", "").glucose.raw() == Approx(90.078));
    for (const sign_info& sign : sign_table) {
        CHECK(read::sign_of_loinc(sign.loinc)->sign == sign.id);
    }
    CHECK(read::sign_of_loinc("8867-4")->heart_rate);
    CHECK_FALSE(read::sign_of_loinc("84806"));
    CHECK_FALSE(read::sign_of_loinc("8480-7"));
    CHECK_FALSE(read::sign_of_loinc("LOINC"));
    CHECK_FALSE(read::sign_of_loinc(""));
}

TEST_CASE("a heart rate is the ECG rate where the file names the pulse, wherever it does") {
    const file beside = of("R1,1,HR,80,\nR1,2,Pulse,78,\n");
    CHECK(beside.only_set().ecg_rate.raw() == 80);
    CHECK(beside.reports()[0].sets[1].pulse.raw() == 78);
    CHECK(says(beside, "read as the ECG rate"));
    const file alone = of("R1,1,HR,80,\n");
    CHECK(alone.only_set().pulse.raw() == 80);
    CHECK(says(alone, "read as a pulse"));
}

TEST_CASE("a method is that of its row's reading, and facts are the set's") {
    const file f(
        "report,vital,value,bp method,pulse method,arrest\n"
        "R1,SBP,120,arterial,,yes\n"
        "R1,DBP,80,palp,,\n"
        "R1,Pulse,70,,ecg,\n"
        "R1,RR,16,nonsense,nonsense,\n"
        "R2,SBP,120,nonsense,,perhaps\n");
    const vital_set& set = f.only_set();
    CHECK(set.pulse.state() == reading_state::absent);
    CHECK(set.ecg_rate.raw() == 70);
    CHECK(set.ecg_rate.how() == method::by_ecg);
    CHECK(set.diastolic.how() == method::palpated);
    CHECK(set.known.known(fact::arrest));
    CHECK(f.outcome.unreadable_context.count == 2);
}

TEST_CASE("crew and age come from the first row of the report that has them") {
    const file f("report,crew,age,vital,value\nR1,,,SBP,120\nR1,M7,40,DBP,80\n");
    CHECK(f.reports().at(0).crew == "M7");
    CHECK(f.reports().at(0).age->count() == 40);
}

TEST_CASE("a column called unit is of measure where a row has one in it, else the crew's") {
    CHECK(role_of("report,unit,vital,value\nR1,mmHg,SBP,120\n", 1) == column_role::value_unit);
    CHECK(role_of("report,unit,vital,value\nR1,M7,SBP,120\n", 1) == column_role::crew);
    CHECK(file("report,unit,vital,value\nR1,M7,SBP,120\n").reports().at(0).crew == "M7");
    const std::string_view both = "report,unit,unit id,vital,value\nR1,mmHg,M7,SBP,120\n";
    CHECK(role_of(both, 1) == column_role::value_unit);
    CHECK(role_of(both, 2) == column_role::crew);
    CHECK(role_of("report,crew,unit,vital,value\nR1,M7,x,SBP,120\n", 2) == column_role::ignored);
}

TEST_CASE("a column whose name ends as a unit's is of measure") {
    CHECK(role_of("report,vital,value,vital_units\nR1,Temp,98.6,F\n", 3) ==
          column_role::value_unit);
    CHECK(file("report,vital,value,vital_units\nR1,Temp,98.6,F\n").only_set().temperature.raw() ==
          Approx(37));
    CHECK(role_of("report,vital,value,age,age units\nR1,Pulse,70,8,Months\n", 4) ==
          column_role::age_unit);
    CHECK(role_of("report,vital,value,uom,other unit\nR1,Pulse,70,/min,x\n", 3) ==
          column_role::value_unit);
}

TEST_CASE("headers that are a long form, and those that are none") {
    for (const std::string_view name : {"sign", "Vital", "Parameter", "measure", "name", "Test",
                                        "code", "item", "LOINC", "Vital Sign"}) {
        const file f("report," + std::string(name) + ",Result\nR1,SBP,120\n");
        CAPTURE(name);
        CHECK(f.error().empty());
        CHECK(f.outcome.rows_examined == 1);
    }
    // The better name is taken, and the other left out aloud.
    const file f("report,name,vital,value,result\nR1,Smith,SBP,120,x\n");
    CHECK(f.only_set().systolic.raw() == 120);
    CHECK(f.outcome.columns.columns[1].remark == "not used: column 3 \"vital\" is");
    // A column of its own for one sign: one row is one set.
    CHECK(file("report,name,value,SBP\nR1,DBP,80,120\n").only_set().diastolic.why_absent() ==
          absence::not_carried);
    CHECK(file("report,vital,parameter,value\nR1,SBP,x,120\n").error() ==
          "columns 2 \"vital\" and 3 \"parameter\" could both be the name of the sign");
    CHECK(file("report,vital\nR1,SBP\n").error().starts_with("no column holds a vital sign"));
}

TEST_CASE("rows of which none names a vital sign are an error that echoes none of them") {
    const file f("report,name,value\nR1,Smith,1\n");
    CHECK(f.error() == "no row names a vital sign in column \"name\"");
    CHECK(f.reports().empty());
    CHECK(file("report,name,value\n").error().empty());
}

TEST_CASE("a long run is given in pieces, between sets alone") {
    std::string text(head);
    for (int i = 0; i < 10; ++i) {
        text += "R1," + std::to_string(i) + ",SBP,120,\nR1," + std::to_string(i) + ",DBP,80,\n";
    }
    read::delimited_options options;
    options.gathering.sets = 3;
    const file f(text, options);
    CHECK(sets_of(f) == std::vector<std::size_t>{3, 3, 3, 1});
    CHECK(f.kept.first_lines == std::vector<std::uint64_t>{2, 8, 14, 20});
    CHECK(f.outcome.rows_examined == 20);
    for (const care_report& r : f.reports()) {
        for (const vital_set& set : r.sets) {
            CHECK(set.diastolic.raw() == 80);
        }
    }
}

TEST_CASE("more names than are remembered change nothing") {
    std::string text(head);
    for (int i = 0; i < 6000; ++i) {
        text += "R1,1,name " + std::to_string(i) + ",1,\n";
    }
    text += "R1,1,SBP,120,mmHg\nR1,1,Temp,98.6,F\nR1,1," + std::string(1000, 'x') + ",1,\n";
    const file f(text);
    CHECK(f.outcome.rows_other == 6001);
    CHECK(f.only_set().systolic.raw() == 120);
    CHECK(f.only_set().temperature.raw() == Approx(37));
}
