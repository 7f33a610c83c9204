// Reports of the national EMS data standard into ours: elements, absences, methods, what held when,
// what is refused, and the account of every group. The agency and every value are invented.
#include "made_not_plain.hpp"
#include "read/nemsis.hpp"
#include "read_support.hpp"

#include <catch2/catch.hpp>

#include <array>
#include <memory>
#include <random>

namespace {

using namespace reading;

// A file, read.
struct nemsis {
    explicit nemsis(std::string_view text, const read::delimited_options& options = {},
                    const read::xml_bounds& bounds = {}) {
        read::memory_source source(text);
        outcome = read::read_nemsis(source, "week.xml", options, kept, bounds);
    }

    const care_report& report() const {
        REQUIRE(kept.reports.size() == 1);
        return kept.reports[0];
    }
    const vital_set& set(std::size_t i = 0) const { return report().sets.at(i); }
    std::string error() const { return outcome.error ? outcome.error->what : ""; }
    bool adds_up(std::uint64_t examined, std::uint64_t unread, std::uint64_t other) const {
        return outcome.rows_examined == examined && outcome.rows_unread == unread &&
               outcome.rows_other == other && outcome.rows_read == examined + unread + other;
    }
    bool unread_because(std::size_t i, std::string_view reason) const {
        return kept.unread_rows.at(i).reason.find(reason) != std::string::npos;
    }

    memory_sink kept{};
    read::delimited_outcome outcome{};
};

std::string within(std::string_view name, const std::string& inner) {
    return "<" + std::string(name) + ">" + inner + "</" + std::string(name) + ">";
}

std::string group(const std::string& elements) { return within("eVitals.VitalGroup", elements); }

std::string report(const std::string& groups, const std::string& sections = {},
                   std::string_view identifier = "26-0001") {
    return "<PatientCareReport>" +
           within("eRecord", within("eRecord.01", std::string(identifier))) + sections +
           within("eVitals", groups) + "</PatientCareReport>";
}

std::string document(const std::string& reports) {
    return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
           "<EMSDataSet xmlns=\"http://www.nemsis.org\" "
           "xmlns:xsi=\"http://www.w3.org/2001/XMLSchema-instance\">\n<Header>\n" +
           reports + "\n</Header>\n</EMSDataSet>\n";
}

// One report of these groups.
nemsis of(const std::string& groups, const std::string& sections = {}) {
    return nemsis(document(report(groups, sections)));
}

vital_set set_of(const std::string& elements) { return of(group(elements)).set(); }

std::string at(std::string_view clock) {
    return within("eVitals.01", "2026-03-01T" + std::string(clock) + "-06:00");
}

std::string time(std::string_view element, std::string_view clock) {
    return within(element, "2026-03-01T" + std::string(clock) + "-06:00");
}

// A set with a pulse at each of these times of one day.
std::string sets_at(std::initializer_list<std::string_view> clocks) {
    std::string groups;
    for (const std::string_view clock : clocks) {
        groups += group(at(clock) + "<eVitals.10>80</eVitals.10>");
    }
    return groups;
}

// How a fact stands in each set: y, n, or ? where it is not known.
std::string course(const nemsis& read, fact which) {
    std::string of_sets;
    for (const vital_set& set : read.report().sets) {
        of_sets += set.known.is(which) ? 'y' : set.known.is_not(which) ? 'n' : '?';
    }
    return of_sets;
}

std::string airway(std::string_view clock) {
    return within("eAirway", within("eAirway.ConfirmationGroup", time("eAirway.02", clock)));
}

std::string procedure(std::string_view clock, std::string_view code,
                      std::string_view success = "9923003") {
    return within("eProcedures", within("eProcedures.ProcedureGroup",
                                        time("eProcedures.01", clock) +
                                            within("eProcedures.03", std::string(code)) +
                                            within("eProcedures.06", std::string(success))));
}

std::string drug(std::string_view clock, std::string_view code) {
    return within("eMedications", within("eMedications.MedicationGroup",
                                         time("eMedications.01", clock) +
                                             within("eMedications.03", std::string(code))));
}

}  // namespace

TEST_CASE("each vital sign is read in its unit") {
    const auto read =
        of(group(at("14:32:00") + "<eVitals.06>120</eVitals.06><eVitals.07>80</eVitals.07>"
                                  "<eVitals.09>93</eVitals.09><eVitals.10>72</eVitals.10>"
                                  "<eVitals.12>98</eVitals.12><eVitals.14>16</eVitals.14>"
                                  "<eVitals.16 ETCO2Type=\"3340001\">38</eVitals.16>"
                                  "<eVitals.18>104</eVitals.18><eVitals.19>4</eVitals.19>"
                                  "<eVitals.20>5</eVitals.20><eVitals.21>6</eVitals.21>"
                                  "<eVitals.23>15</eVitals.23><eVitals.24>36.8</eVitals.24>"
                                  "<eVitals.26>3326001</eVitals.26>"));
    const vital_set& set = read.set();
    CHECK(set.systolic.raw() == 120);
    CHECK(set.diastolic.raw() == 80);
    CHECK(set.mean_pressure.raw() == 93);
    CHECK(set.pulse.raw() == 72);
    CHECK(set.saturation.raw() == 98);
    CHECK(set.respiratory_rate.raw() == 16);
    CHECK(set.exhaled_co2.raw() == 38);
    CHECK(set.glucose.raw() == 104);
    CHECK(set.coma_eye.raw() == 4);
    CHECK(set.coma_verbal.raw() == 5);
    CHECK(set.coma_motor.raw() == 6);
    CHECK(set.coma_total.raw() == 15);
    CHECK(set.temperature.raw() == Approx(36.8));
    CHECK(set.responsiveness.is_number());
    REQUIRE(set.taken_at);
    CHECK(set.taken_at->utc_offset == std::chrono::minutes{-360});
    CHECK(set.group == 1);
    CHECK(set.line == 4);
    CHECK(set.faults == charting_faults{});
    CHECK(read.report().id == "26-0001");
    CHECK(read.adds_up(1, 0, 0));
    CHECK(read.error().empty());
}

TEST_CASE("of an element that stands twice the last counts, and what the first one held is gone") {
    for (const std::string& pulse : {std::string("80"), std::string(" 80.0 ")}) {
        const nemsis read(document(
            report(group("<eVitals.10>8O</eVitals.10><eVitals.10>" + pulse + "</eVitals.10>"))));
        CHECK(read.set().pulse.raw() == 80);
        CHECK(read.set().charted[sign::pulse{}].empty());
    }
    const nemsis read(
        document(report(group("<eVitals.10>80</eVitals.10><eVitals.10>8O</eVitals.10>"))));
    CHECK(read.set().pulse.state() == reading_state::unreadable);
    CHECK(read.set().charted[sign::pulse{}].text() == "8O");
}

TEST_CASE("exhaled CO2 is read by its type, and faults of it are noted") {
    const auto co2 = [](std::string_view type, std::string_view value) {
        return set_of("<eVitals.16 ETCO2Type=\"" + std::string(type) + "\">" + std::string(value) +
                      "</eVitals.16>");
    };
    CHECK(co2("3340005", "5").exhaled_co2.raw() == Approx(5 / 0.133322387415));
    CHECK(co2("3340003", "5").exhaled_co2.raw() == Approx(38));
    CHECK(co2("3340005", "101").faults.co2_over_100_kpa);
    CHECK_FALSE(co2("3340005", "100").faults.co2_over_100_kpa);
    CHECK(co2("3340003", "100.5").faults.co2_over_100_percent);
    CHECK_FALSE(co2("3340003", "100").faults.co2_over_100_percent);
    CHECK(co2("3340001", "38.5").faults.co2_not_whole);
    CHECK_FALSE(co2("3340001", "38.0").faults.co2_not_whole);
    CHECK_FALSE(co2("3340005", "5.1").faults.co2_not_whole);
    CHECK(set_of("<eVitals.16>38</eVitals.16>").faults.co2_without_unit);
    CHECK(co2("3340009", "38").faults.co2_without_unit);
    CHECK_FALSE(co2("3340001", "38").faults.co2_without_unit);
}

TEST_CASE("an absence keeps its reason") {
    const auto why = [](const std::string& attributes) {
        const auto set = set_of("<eVitals.06 " + attributes + "/><eVitals.10>80</eVitals.10>");
        CHECK(set.systolic.state() == reading_state::absent);
        return set.systolic.why_absent();
    };
    CHECK(why(R"(xsi:nil="true" NV="7701001")") == absence::not_applicable);
    CHECK(why(R"(xsi:nil="true" NV="7701003")") == absence::not_recorded);
    CHECK(why(R"(xsi:nil="true" NV="7701005")") == absence::not_carried);
    CHECK(why(R"(xsi:nil="true" PN="8801005")") == absence::not_present);
    CHECK(why(R"(xsi:nil="true" PN="8801019")") == absence::refused);
    CHECK(why(R"(xsi:nil="true" PN="8801023")") == absence::unable);
    CHECK(why(R"(xsi:nil="true" PN="8801001")") == absence::not_recorded);
    CHECK(why("") == absence::blank);
}

TEST_CASE("a value beside an absence is kept, and noted") {
    const auto bit = static_cast<std::uint16_t>(1U << index_of(sign_id::systolic));
    const auto none = set_of("<eVitals.06 NV=\"7701003\">120</eVitals.06>");
    CHECK(none.systolic.raw() == 120);
    CHECK(none.faults.value_and_none == bit);
    const auto negative = set_of("<eVitals.06 PN=\"8801019\">120</eVitals.06>");
    CHECK(negative.systolic.raw() == 120);
    CHECK(negative.faults.value_and_negative == bit);
    CHECK(set_of("<eVitals.06></eVitals.06><eVitals.10>80</eVitals.10>").faults.empty == bit);
    CHECK(set_of("<eVitals.06 NV=\"7701003\"/><eVitals.10>80</eVitals.10>").faults.empty == 0);
}

TEST_CASE("a palpated diastolic, high and low glucose") {
    for (const std::string letter : {"P", "p"}) {
        const auto set = set_of("<eVitals.06>117</eVitals.06><eVitals.07>" + letter +
                                "</eVitals.07><eVitals.09>113</eVitals.09>");
        CHECK(set.systolic.raw() == 117);
        CHECK_FALSE(set.diastolic.is_number());
        CHECK(set.systolic.how() == method::palpated);
        CHECK(set.mean_pressure.how() == method::unknown);
    }
    CHECK(set_of("<eVitals.18>High</eVitals.18>").glucose.state() == reading_state::above);
    CHECK(set_of("<eVitals.18>Low</eVitals.18>").glucose.state() == reading_state::below);
}

TEST_CASE("methods: a rate by the ECG is the ECG's") {
    const auto ecg = set_of("<eVitals.10>72</eVitals.10><eVitals.11>3311005</eVitals.11>");
    CHECK(ecg.ecg_rate.raw() == 72);
    CHECK(ecg.pulse.state() == reading_state::absent);
    const auto felt = set_of("<eVitals.10>72</eVitals.10><eVitals.11>3311011</eVitals.11>");
    CHECK(felt.pulse.raw() == 72);
    CHECK(felt.pulse.how() == method::felt);
    CHECK(set_of("<eVitals.06>120</eVitals.06><eVitals.08>3308005</eVitals.08>").systolic.how() ==
          method::cuff_machine);
    CHECK(set_of("<eVitals.06>120</eVitals.06><eVitals.08>3308001</eVitals.08>").systolic.how() ==
          method::arterial);
}

TEST_CASE("what a set says of itself") {
    const std::string pulse = "<eVitals.10>0</eVitals.10>";
    CHECK(set_of(pulse + "<eVitals.02>9923003</eVitals.02>").known.is(fact::prior_care));
    CHECK(set_of(pulse + "<eVitals.02>9923001</eVitals.02>").known.is_not(fact::prior_care));
    CHECK_FALSE(set_of(pulse).known.known(fact::prior_care));
    CHECK(set_of(pulse + "<eVitals.03>9901003</eVitals.03>").known.is(fact::arrest));
    CHECK(set_of(pulse + "<eVitals.03>9901033</eVitals.03>").known.is(fact::paced));
    CHECK(set_of(pulse + "<eVitals.03>9901007</eVitals.03>").known.is(fact::irregular_rhythm));
    CHECK(set_of(pulse + "<eVitals.15>3315005</eVitals.15>").known.is(fact::ventilated));
    CHECK(set_of(pulse + "<eVitals.22>3322009</eVitals.22>").known.is(fact::airway_tube));
    const std::string both = "<eVitals.22>3322003</eVitals.22><eVitals.22>3322005</eVitals.22>";
    CHECK(set_of(pulse + both).faults.coma_qualifiers);
    CHECK_FALSE(set_of(pulse + "<eVitals.22>3322003</eVitals.22>").faults.coma_qualifiers);
}

TEST_CASE("groups within a group are read, prefixes and blanks do not count") {
    const nemsis read(
        "<n:EMSDataSet xmlns:n=\"http://www.nemsis.org\"><n:Header><n:PatientCareReport>"
        "<n:eRecord><n:eRecord.01>\n 26-0001 \n</n:eRecord.01></n:eRecord><n:eVitals>"
        "<n:eVitals.VitalGroup><n:eVitals.BloodPressureGroup><n:eVitals.06>\t120\n</n:eVitals.06>"
        "</n:eVitals.BloodPressureGroup></n:eVitals.VitalGroup></n:eVitals></n:PatientCareReport>"
        "</n:Header></n:EMSDataSet>");
    CHECK(read.report().id == "26-0001");
    CHECK(read.set().systolic.raw() == 120);
    CHECK(read.error().empty());
}

TEST_CASE("a value that comments or CDATA part is whole again") {
    CHECK(set_of("<eVitals.06>1<!-- x -->2<?p?>0</eVitals.06>").systolic.raw() == 120);
    CHECK(set_of("<eVitals.06><![CDATA[12]]><![CDATA[0]]></eVitals.06>").systolic.raw() == 120);
    CHECK(set_of("<eVitals.06>&#49;2&#x30;</eVitals.06>").systolic.raw() == 120);
    const auto odd = set_of("<eVitals.06>12<x/>0</eVitals.06>");
    CHECK(odd.systolic.state() == reading_state::unreadable);
    CHECK(set_of("<eVitals.06><x>120</x></eVitals.06>").systolic.state() ==
          reading_state::unreadable);
}

TEST_CASE("an age keeps its unit") {
    const auto age = [](std::string_view value, std::string_view unit) {
        const auto read =
            of(group("<eVitals.10>80</eVitals.10>"),
               "<ePatient><ePatient.AgeGroup>" + within("ePatient.15", std::string(value)) +
                   within("ePatient.16", std::string(unit)) + "</ePatient.AgeGroup></ePatient>");
        CHECK(read.outcome.unreadable_ages.count == (read.report().age ? 0 : 1));
        return read.report().age ? read.report().age->count() : -1;
    };
    CHECK(age("62", "2516009") == Approx(62));
    CHECK(age("18", "2516007") == Approx(1.5));
    CHECK(age("73", "2516001") == Approx(0.2).epsilon(0.01));
    CHECK(age("12", "2516003") == Approx(0.5 / 365.2425));
    CHECK(age("30", "2516005") == Approx(30 / (365.2425 * 24 * 60)));
    CHECK(age("62", "2516099") == -1);
    CHECK(age("-1", "2516009") == -1);
}

TEST_CASE("the unit is named by its call sign, else by its vehicle") {
    const std::string one = group("<eVitals.10>80</eVitals.10>");
    const std::string vehicle = within("eResponse.13", "A17");
    const std::string sign = within("eResponse.14", "Medic 7");
    CHECK(of(one, within("eResponse", vehicle + sign)).report().crew == "Medic 7");
    CHECK(of(one, within("eResponse", vehicle)).report().crew == "A17");
    CHECK(of(one, within("eResponse", vehicle + "<eResponse.14 NV=\"7701003\"/>")).report().crew ==
          "A17");
    CHECK(of(one).report().crew.empty());
}

TEST_CASE("times of the call") {
    const auto read =
        of(group("<eVitals.10>80</eVitals.10>"),
           within("eTimes", time("eTimes.03", "14:01:00") + time("eTimes.07", "14:20:00") +
                                "<eTimes.12 NV=\"7701001\"/>"));
    REQUIRE(read.report().call);
    const call_record& call = *read.report().call;
    REQUIRE(call.at(call_time::unit_notified));
    REQUIRE(call.at(call_time::at_patient));
    CHECK(seconds_of(*call.at(call_time::at_patient)) -
              seconds_of(*call.at(call_time::unit_notified)) ==
          std::int64_t{19} * 60);
    CHECK_FALSE(call.at(call_time::transfer_of_care));
    CHECK_FALSE(call.at(call_time::en_route));
}

TEST_CASE("an arrest is stated of the sets taken in it") {
    const std::string sets = sets_at({"14:00:00", "14:10:00", "14:20:00"});
    const auto arrest = [&](const std::string& elements) {
        return course(of(sets, within("eArrest", elements)), fact::arrest);
    };
    const std::string after = "<eArrest.01>3001005</eArrest.01>";
    const std::string before = "<eArrest.01>3001003</eArrest.01>";
    const std::string none_returned = "<eArrest.12>3012001</eArrest.12>";
    const std::string returned = "<eArrest.12>3012005</eArrest.12>";
    const std::string ended = time("eArrest.15", "14:15:00") + "<eArrest.16>3016011</eArrest.16>";
    CHECK(arrest("<eArrest.01>3001001</eArrest.01>") == "nnn");
    CHECK(arrest("<eArrest.01 NV=\"7701003\"/>") == "???");
    CHECK(arrest(after + none_returned + time("eArrest.14", "14:05:00")) == "nyy");
    CHECK(arrest(after + returned + time("eArrest.14", "14:05:00") + ended) == "nyn");
    // A pulse returned, and nothing says when.
    CHECK(arrest(after + returned + time("eArrest.14", "14:05:00")) == "n??");
    // Whether it returned is not said.
    CHECK(arrest(after + time("eArrest.14", "14:05:00")) == "n??");
    CHECK(arrest(after + none_returned) == "???");
    CHECK(arrest(before + none_returned) == "yyy");
    CHECK(arrest(before) == "???");
    CHECK(course(of(sets), fact::arrest) == "???");
}

TEST_CASE("devices and drugs are stated from their time on") {
    const std::string sets = sets_at({"14:00:00", "14:10:00", "14:30:00"});
    CHECK(course(of(sets, airway("14:10:00")), fact::airway_tube) == "?yy");
    CHECK(course(of(sets, procedure("14:05:00", "232674004")), fact::airway_tube) == "?yy");
    CHECK(course(of(sets, procedure("14:05:00", "232674004", "9923001")), fact::airway_tube) ==
          "???");
    CHECK(course(of(sets, procedure("14:05:00", "425447009")), fact::ventilated) == "?yy");
    CHECK(course(of(sets, procedure("14:05:00", "57485005")), fact::oxygen) == "?yy");
    CHECK(course(of(sets, drug("14:25:00", "7806")), fact::oxygen) == "??y");
    CHECK(course(of(sets, procedure("14:25:00", "18590009")), fact::paced) == "??y");
    const std::string no_time =
        within("eProcedures",
               within("eProcedures.ProcedureGroup", "<eProcedures.03>18590009</eProcedures.03>"));
    CHECK(course(of(sets, no_time), fact::paced) == "???");
    // A refused procedure was not done.
    const std::string refused = within(
        "eProcedures", within("eProcedures.ProcedureGroup",
                              time("eProcedures.01", "14:00:00") +
                                  "<eProcedures.03 PN=\"8801019\">18590009</eProcedures.03>"));
    CHECK(course(of(sets, refused), fact::paced) == "???");
}

TEST_CASE("a treatment is stated of the ten minutes behind it, an attempt at an airway around it") {
    const std::string sets = sets_at({"14:00:00", "14:10:00", "14:21:00"});
    CHECK(course(of(sets, drug("14:05:00", "4832")), fact::treated) == "?y?");
    CHECK(course(of(sets, drug("14:05:00", "1191")), fact::treated) == "???");         // aspirin
    CHECK(course(of(sets, drug("14:05:00", "6130")), fact::airway_attempt) == "yy?");  // ketamine
    CHECK(course(of(sets, procedure("14:10:00", "232674004", "9923001")), fact::airway_attempt) ==
          "yy?");
}

TEST_CASE("how the call ended") {
    const auto ended = [](const std::string& elements, const std::string& more = {}) {
        return of(group("<eVitals.10>80</eVitals.10>"),
                  more + within("eDisposition",
                                within("eDisposition.IncidentDispositionGroup", elements)))
            .report()
            .call->ended;
    };
    const std::string contact = "<eDisposition.27>4227001</eDisposition.27>";
    CHECK(ended("<eDisposition.27>4227009</eDisposition.27>") == disposition::no_patient);
    CHECK(ended(contact + "<eDisposition.28>4228007</eDisposition.28>") == disposition::refused);
    CHECK(ended(contact + "<eDisposition.30>4230009</eDisposition.30>") == disposition::refused);
    CHECK(ended(contact + "<eDisposition.30>4230013</eDisposition.30>") ==
          disposition::not_transported);
    const std::string carried = contact + "<eDisposition.30>4230001</eDisposition.30>";
    CHECK(ended(carried) == disposition::transported);
    CHECK(ended(carried, within("eResponse", "<eResponse.05>2205005</eResponse.05>")) ==
          disposition::transferred);
    CHECK(ended(contact, "<eArrest><eArrest.18>3018003</eArrest.18></eArrest>") ==
          disposition::dead_on_scene);
    CHECK(ended(contact) == disposition::unknown);
}

TEST_CASE("every group is accounted for") {
    const std::string said = group("<eVitals.06 NV=\"7701003\"/>");
    const std::string nothing = group(at("14:00:00") + "<eVitals.06/>");
    const std::string good = group("<eVitals.10>80</eVitals.10>");
    CHECK(of(good + nothing + said).adds_up(2, 0, 1));

    const nemsis read(document(report(good) + "\n" + "<PatientCareReport><eVitals>" + good + good +
                               "</eVitals></PatientCareReport>\n" +  // no number
                               "<PatientCareReport>" + good + "<x></PatientCareReport>\n" + good +
                               "\n<PatientCareReport>" + good + report(good)));
    CHECK(read.adds_up(2, 5, 0));
    CHECK(read.outcome.reports == 2);
    REQUIRE(read.kept.unread_rows.size() == 5);
    CHECK(read.unread_because(0, "no record number"));
    CHECK(read.kept.unread_rows[0].line == 5);
    CHECK(read.unread_because(2, "not well-formed"));
    CHECK(read.unread_because(3, "stand in no report"));
    CHECK(read.unread_because(4, "does not end before the next"));
    CHECK(read.kept.unread_rows[4].line == 8);
    for (const auto& row : read.kept.unread_rows) {
        CHECK_FALSE(row.remedy.empty());
    }
}

TEST_CASE("a group that stands where none belongs is said, and lends its values to no other") {
    const std::string good = group("<eVitals.06>120</eVitals.06>");
    const std::string stray = group("<eVitals.06>300</eVitals.06>");
    const auto require = [&](const std::string& sections, std::string_view groups) {
        nemsis read = of(good + "\n" + std::string(groups), sections);
        CHECK(read.adds_up(1, 1, 0));
        REQUIRE(read.report().sets.size() == 1);
        CHECK(read.set().systolic.raw() == 120);
        CHECK(read.unread_because(0, "section eVitals"));
        return read;
    };
    require(within("eExam", stray), "");
    require(stray, "");
    CHECK(require("", within("eVitals.OddGroup", stray)).kept.unread_rows[0].line == 5);
    // Within each other, the outer one is read without the inner one's values.
    const nemsis nested = of(group("<eVitals.10>80</eVitals.10>\n" + stray) + "\n" + good);
    CHECK(nested.adds_up(2, 1, 0));
    CHECK_FALSE(nested.set(0).systolic.is_number());
    CHECK(nested.kept.unread_rows.at(0).line == 5);
    CHECK(nested.set(1).line == 6);
}

TEST_CASE("a report without sets is a report read, and no row") {
    const nemsis read(
        document("<PatientCareReport><eRecord><eRecord.01>1</eRecord.01></eRecord>"
                 "</PatientCareReport><PatientCareReport/>"));
    CHECK(read.adds_up(0, 0, 0));
    CHECK(read.kept.reports.empty());
    CHECK(read.error().empty());
    REQUIRE(read.kept.unread_rows.size() == 1);
    CHECK(read.unread_because(0, "holds no vital signs"));
}

TEST_CASE("no report takes anything over from the one before") {
    const std::string pulse = "<eVitals.10>80</eVitals.10>";
    const nemsis read(document(
        report(group(at("14:00:00") + pulse + "<eVitals.03>9901033</eVitals.03>"),
               within("eResponse", within("eResponse.14", "M1")) +
                   "<ePatient><ePatient.15>3</ePatient.15><ePatient.16>2516009</ePatient.16>"
                   "</ePatient>" +
                   within("eHistory", "<eHistory.08>Z95.811</eHistory.08>") +
                   within("eTimes", time("eTimes.07", "13:50:00")) + drug("13:55:00", "4832")) +
        report(group(pulse), {}, "26-0002")));
    REQUIRE(read.kept.reports.size() == 2);
    CHECK(read.kept.reports[0].known.is(fact::assist_device));
    const care_report& second = read.kept.reports[1];
    CHECK(second.id == "26-0002");
    CHECK(second.crew.empty());
    CHECK_FALSE(second.age);
    CHECK(second.known == facts{});
    REQUIRE(second.call);
    CHECK_FALSE(second.call->at(call_time::at_patient));
    CHECK(second.call->events.empty());
    CHECK(second.sets.at(0).known == facts{});
    CHECK_FALSE(second.sets.at(0).taken_at);
}

TEST_CASE("what is no such document, or does not end, is an error that says so") {
    const std::string one = report(group("<eVitals.10>80</eVitals.10>"));
    CHECK(nemsis("<html><body/></html>").error().find("no EMSDataSet") != std::string::npos);
    CHECK(nemsis("<EMSDataSet></EMSDataSet>").error().find("no PatientCareReport") !=
          std::string::npos);
    const nemsis typed("<!DOCTYPE x [<!ENTITY a \"" + std::string(100, 'b') + "\">]>" +
                       document(one));
    CHECK(typed.error().find("document type") != std::string::npos);
    CHECK(typed.kept.reports.empty());
    const nemsis cut("<EMSDataSet>" + one + "<PatientCareReport><eVitals><eVitals.VitalGroup>");
    CHECK(cut.error().find("ends before") != std::string::npos);
    CHECK(cut.adds_up(1, 1, 0));
    const nemsis hidden("<EMSDataSet>" + one + "<!-- " + one + "</EMSDataSet>");
    CHECK(hidden.error().find("does not end") != std::string::npos);
    CHECK(hidden.adds_up(1, 0, 0));
}

TEST_CASE("an entity of a report's own is never expanded") {
    const auto set = set_of("<eVitals.06>&big;</eVitals.06>");
    CHECK(set.systolic.state() == reading_state::unreadable);
}

TEST_CASE("strict XML: well-formed from first to last, or an error with its line") {
    read::delimited_options strict;
    strict.strict_xml = true;
    const std::string one = report(group("<eVitals.10>80</eVitals.10>"));
    CHECK(nemsis(document(one), strict).error().empty());
    CHECK(nemsis("\xEF\xBB\xBF" + document(one), strict).error().empty());

    // The reader alone looks at reports only.
    for (const std::string& broken :
         {document("<a>\n</b>" + one), document(one) + "<more/>", document("&nobody;" + one),
          document("<a b=1/>" + one), document("<a b='1' b='2'/>" + one), document("\x01" + one),
          document("<!-- a -- b -->" + one)}) {
        CAPTURE(broken);
        CHECK(nemsis(broken).error().empty());
        const nemsis read(broken, strict);
        CHECK(read.error().find("not well-formed") != std::string::npos);
        CHECK(read.error().find("nobody") == std::string::npos);
        CHECK(read.adds_up(1, 0, 0));
    }
    CHECK(nemsis(document("<a>\n</b>" + one), strict).error().find("line 5 ") != std::string::npos);
    CHECK(nemsis("<!DOCTYPE x SYSTEM \"http://localhost/x.dtd\">" + document(one), strict)
              .error()
              .find("document type") != std::string::npos);
}

TEST_CASE("strict XML takes the text as it was read, whatever its bytes") {
    read::delimited_options strict;
    strict.strict_xml = true;
    const std::string text = document(report(group("<eVitals.10>80</eVitals.10>")));
    std::string utf_16 = "\xFF\xFE";
    for (const char c : text) {
        utf_16 += c;
        utf_16 += '\0';
    }
    const nemsis read(utf_16, strict);
    CHECK(read.error().empty());
    CHECK(read.adds_up(1, 0, 0));
    std::string latin =
        document("<name>Z\xFCrich</name>" + report(group("<eVitals.10>80</eVitals.10>")));
    latin.replace(latin.find("UTF-8"), 5, "ISO-8859-1");
    CHECK(nemsis(latin, strict).error().empty());
}

TEST_CASE("a text of any length passes the strict form in bounded memory") {
    read::delimited_options strict;
    strict.strict_xml = true;
    const std::string lengthy = within("eOther", std::string(std::size_t{12} << 20, 'x'));
    const nemsis read(document(lengthy + report(group("<eVitals.10>80</eVitals.10>"))), strict);
    CHECK(read.error().empty());
    CHECK(read.adds_up(1, 0, 0));
}

namespace {

template <VitalSign S>
std::string said_of(const vital_set& set, S sign) {
    const auto& r = set[sign];
    return std::to_string(static_cast<int>(r.state())) + "/" +
           (r.is_number() ? std::to_string(r.raw()) : set.charted[sign].display()) + "/" +
           std::to_string(static_cast<int>(r.why_absent())) + "/" +
           std::to_string(static_cast<int>(r.how())) + " ";
}

// All that was read, one line a set.
std::string told(const nemsis& read) {
    std::string all;
    for (const care_report& r : read.kept.reports) {
        all += "report " + r.id + " " + r.crew + " " + r.incident + " " +
               std::to_string(r.age ? r.age->count() : -1) + " " +
               std::to_string(r.call->events.size()) + " " + std::to_string(r.call->complaints) +
               "\n";
        for (const vital_set& set : r.sets) {
            all += std::to_string(set.group) + " on " + std::to_string(set.line) + " at " +
                   std::to_string(set.taken_at ? seconds_of(*set.taken_at) : -1) + ": ";
            for_each_sign(all_signs{}, [&](auto sign) { all += said_of(set, sign); });
            all += std::to_string(set.faults.empty) + " " +
                   std::to_string(set.faults.value_and_none) + " " +
                   std::to_string(set.faults.no_time) + "\n";
        }
    }
    for (const auto& row : read.kept.unread_rows) {
        all += "unread " + std::to_string(row.line) + " " + row.reason + "\n";
    }
    return all + std::to_string(read.outcome.rows_other);
}

}  // namespace

TEST_CASE("a report is read the same, plain or parsed") {
    const std::vector<std::string> words{
        "<eVitals>",
        "</eVitals>",
        "<eVitals.VitalGroup>",
        "</eVitals.VitalGroup>",
        "<eVitals.06>120</eVitals.06>",
        "<eVitals.06> 1&#50;0 </eVitals.06>",
        "<eVitals.07>\r\n80\r\n</eVitals.07>",
        "<eVitals.07>8\r0</eVitals.07>",
        "<eVitals.10 NV=\"7701003\"/>",
        "<eVitals.10 n:PN=' 8801019 '>80</eVitals.10>",
        "<n:eVitals.12>9<x/>8</n:eVitals.12>",
        "<eVitals.12><x>98</x></eVitals.12>",
        "<eVitals.16 ETCO2Type=\"3340005\">5</eVitals.16>",
        "<eVitals.99>1</eVitals.99>",
        "<eVitals.HeartRateGroup>",
        "</eVitals.HeartRateGroup>",
        "<eVitals.11>3311001</eVitals.11>",
        "<eResponse><eResponse.14>M&amp;7</eResponse.14></eResponse>",
        "<eNarrative><eNarrative.01>a &amp; b &nobody; > c</eNarrative.01></eNarrative>",
        "<eRecord><eRecord.01>2</eRecord.01></eRecord>",
        "<!-- a < b -->",
        "<eVitals.14>1<!-- > -->6</eVitals.14>",
        "<eVitals.09><![CDATA[93]]></eVitals.09>",
        "</eRecord>",
        "<eExam><eVitals/></eExam>",
        at("14:32:00"),
        "\n",
        " ",
        "x",
        "<",
        "&",
        "<v a=\"1\" a=\"2\"/>",
        "<v a=\">\"/>",
        "\xC3\xA9"};
    std::mt19937_64 chance(20260301);
    std::size_t sets = 0;
    std::size_t unread = 0;
    for (int i = 0; i < 4000; ++i) {
        std::string groups;
        const std::size_t most = 1 + chance() % 12;
        for (std::size_t word = 0; word < most; ++word) {
            const std::string& next = words[chance() % words.size()];
            groups += chance() % 3 == 0 ? next : group(next);
        }
        const std::string text =
            document(report(groups) + report(group("<eVitals.10>80</eVitals.10>")));
        const nemsis plain(text);
        CAPTURE(text);
        CHECK(told(plain) == told(nemsis(made_not_plain(text))));
        sets += plain.outcome.rows_examined;
        unread += plain.outcome.rows_unread;
    }
    CHECK(sets > 4000);
    CHECK(unread > 1000);
}

namespace {

// Does the second half only when the first has come to the end.
class late_reader final : public read::half_runner {
public:
    explicit late_reader(read::sink& to) : to_(to) {}

    void run(read::halved_reading& reading) override {
        std::vector<std::unique_ptr<read::text_block>> blocks;
        for (blocks.push_back(reading.new_block()); reading.part(*blocks.back());) {
            blocks.push_back(reading.new_block());
        }
        CHECK_FALSE(reading.part(*blocks.back()));
        blocks.pop_back();
        count = blocks.size();
        // Blocks in turn by two who know nothing of each other.
        const std::array halves{reading.new_second_half(), reading.new_second_half()};
        for (std::size_t i = 0; i < blocks.size(); ++i) {
            halves[i % 2]->read(*blocks[i], to_);
        }
        for (const auto& block : blocks) {
            reading.account_for(*block);
        }
    }

    std::size_t count = 0;

private:
    read::sink& to_;
};

nemsis read_in_halves(std::string_view text, const read::xml_bounds& bounds, std::size_t& blocks) {
    nemsis all("");
    all.kept = {};
    read::memory_source source(text);
    late_reader halves(all.kept);
    memory_sink none;
    all.outcome = read::read_nemsis(source, "week.xml", {}, none, bounds, &halves);
    CHECK(none.reports.empty());
    CHECK(none.unread_rows.empty());
    blocks += halves.count;
    return all;
}

}  // namespace

TEST_CASE("a file read in halves is read the same") {
    const std::string pulse = group("<eVitals.10>80</eVitals.10>");
    const std::string commented = pulse + "<!-- a -->\r\n" + pulse;
    const std::string begun = "<PatientCareReport>" + pulse;
    const std::string stray = pulse + "\n";
    const std::string too_long = pulse + std::string(3000, ' ');
    std::string reports;
    for (int i = 0; i < 300; ++i) {
        const std::string number = std::to_string(i);
        const std::string attributed =
            group(std::string("<v a=\"").append(number).append("\"/>")).append(pulse);
        reports += i % 7 == 0   ? report(commented, {}, number)
                   : i % 7 == 1 ? begun
                   : i % 7 == 2 ? stray
                   : i % 7 == 3 ? report(attributed, {}, number)
                   : i % 7 == 4 ? report(too_long, {}, number)
                                : report(stray + pulse, {}, number);
    }
    const std::string whole = document(reports);
    for (const std::string& text :
         {whole, whole.substr(0, whole.size() / 2), whole + "<!DOCTYPE x>", whole + "<!-- ",
          std::string("<EMSDataSet><PatientCareReport>") + "<!DOCTYPE x>", std::string("<a/>")}) {
        for (const std::size_t piece : {64U, 1000U, 100'000U}) {
            const read::xml_bounds bounds{.longest = 2500, .piece = piece};
            const nemsis as_one(text, {}, bounds);
            std::size_t blocks = 0;
            const nemsis in_halves = read_in_halves(text, bounds, blocks);
            CHECK(told(in_halves) == told(as_one));
            CHECK(in_halves.error() == as_one.error());
            CHECK(in_halves.outcome.rows_read == as_one.outcome.rows_read);
            CHECK(in_halves.outcome.reports == as_one.outcome.reports);
            CHECK((text != whole || piece != 64 || blocks > 100));
        }
    }
}

TEST_CASE("a line is counted before a parser changes the text") {
    const std::string pulse = group("<eVitals.10>80</eVitals.10>");
    const std::string changed =
        report(group("<eVitals.10\n>8&#10;0</eVitals.10>\r<eVitals.06>1\r2</eVitals.06><?a?>"));
    const nemsis read(document(changed + "\n" + report(pulse, {}, "26-0002")));
    REQUIRE(read.kept.reports.size() == 2);
    CHECK(read.kept.reports[1].sets.at(0).line == 6);
}
