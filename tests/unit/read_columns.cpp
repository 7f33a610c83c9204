// How headers are understood: names, units, preferences, and the errors that name columns.
#include "read/column_names.hpp"
#include "read/columns.hpp"

#include <catch2/catch.hpp>

#include <string>
#include <vector>

namespace {

using namespace vitalproof;
using namespace vitalproof::read;

header_outcome header(const std::vector<std::string_view>& cells) {
    return understand_header(cells);
}

// One column beside a report column.
column lone(std::string_view name) { return header({"report", name}).columns.columns.at(1); }

bool is_sign(const column& c, sign_id sign) {
    return c.role == column_role::sign && c.sign == sign;
}

std::string error_of(const std::vector<std::string_view>& cells) {
    const auto outcome = header(cells);
    return outcome.error ? outcome.error->what : "";
}

}  // namespace

TEST_CASE("signs by the names they go by") {
    const std::vector<std::pair<sign_id, std::vector<std::string_view>>> names{
        {sign_id::systolic,
         {"SBP", "Sys", "Systolic", "BP Sys", "BPSys", "BP Systolic", "Systolic BP", "NIBP Sys",
          "Systolic Blood Pressure", "systolic_bp", "SYSTOLIC"}},
        {sign_id::diastolic,
         {"DBP", "Dia", "Diastolic", "BP Dia", "BPDia", "BP Diastolic", "Diastolic BP", "NIBP Dia",
          "Diastolic Blood Pressure"}},
        {sign_id::mean_pressure,
         {"MAP", "Mean", "Mean Arterial Pressure", "BP Mean", "mean_pressure"}},
        {sign_id::pulse, {"Pulse", "PR", "Pulse Rate", "HR", "Heart Rate", "heart-rate"}},
        {sign_id::ecg_rate, {"ECG Rate", "ECG HR", "ecg_rate"}},
        {sign_id::respiratory_rate,
         {"RR", "Resp", "Resp Rate", "Respirations", "Respiratory Rate", "respiratory_rate"}},
        {sign_id::saturation,
         {"SpO2", "SpO₂", "Sat", "O2 Sat", "SaO2", "Oxygen Saturation", "Pulse Ox", "saturation"}},
        {sign_id::glucose, {"BGL", "BG", "Glucose", "Blood Glucose", "Blood Sugar"}},
        {sign_id::exhaled_co2,
         {"EtCO2", "EtCO₂", "End Tidal CO2", "End-Tidal CO2", "Exhaled CO2", "CO2", "exhaled_co2"}},
        {sign_id::temperature, {"Temp", "Temperature"}},
        {sign_id::coma_total, {"GCS", "GCS Total", "Coma Score", "coma_total"}},
        {sign_id::coma_eye, {"GCS Eye", "GCSE", "gcseye", "GCS-E", "coma_eye"}},
        {sign_id::coma_verbal, {"GCS Verbal", "GCSV", "gcsverbal", "coma_verbal"}},
        {sign_id::coma_motor, {"GCS Motor", "GCSM", "gcsmotor", "coma_motor"}},
        {sign_id::responsiveness, {"AVPU", "Responsiveness", "LOC"}},
    };
    CHECK(names.size() == sign_count);
    for (const auto& [sign, forms] : names) {
        for (const std::string_view form : forms) {
            INFO(form);
            const column c = lone(form);
            CHECK(is_sign(c, sign));
            CHECK_FALSE(c.unit_stated);
            CHECK(c.unit == held_unit(sign));
            CHECK(c.header == form);
        }
    }
}

TEST_CASE("every sign goes by its own name and label") {
    for (const sign_info& sign : sign_table) {
        CHECK(is_sign(lone(sign.name), sign.id));
        CHECK(is_sign(lone(sign.label), sign.id));
    }
}

TEST_CASE("units behind a name, in brackets, or glued to it") {
    const std::vector<std::tuple<std::string_view, sign_id, charted_unit>> headers{
        {"SBP (mmHg)", sign_id::systolic, charted_unit::mmhg},
        {"SBP [mm[Hg]]", sign_id::systolic, charted_unit::mmhg},
        {"systolic_kpa", sign_id::systolic, charted_unit::kilopascal},
        {"Pulse /min", sign_id::pulse, charted_unit::per_minute},
        {"Pulse (bpm)", sign_id::pulse, charted_unit::per_minute},
        {"RR/min", sign_id::respiratory_rate, charted_unit::per_minute},
        {"Respiratory Rate (breaths/min)", sign_id::respiratory_rate, charted_unit::per_minute},
        {"SpO2 %", sign_id::saturation, charted_unit::percent},
        {"SpO2(%)", sign_id::saturation, charted_unit::percent},
        {"SpO2%", sign_id::saturation, charted_unit::percent},
        {"spo2_fraction", sign_id::saturation, charted_unit::fraction},
        {"Glucose mg/dL", sign_id::glucose, charted_unit::mg_per_dl},
        {"glucose_mgdl", sign_id::glucose, charted_unit::mg_per_dl},
        {"glucosemgdl", sign_id::glucose, charted_unit::mg_per_dl},
        {"Blood Glucose (mmol/L)", sign_id::glucose, charted_unit::mmol_per_l},
        {"bgl_mmol_l", sign_id::glucose, charted_unit::mmol_per_l},
        {"EtCO2 kPa", sign_id::exhaled_co2, charted_unit::kilopascal},
        {"EtCO2 (%)", sign_id::exhaled_co2, charted_unit::percent},
        {"Temp C", sign_id::temperature, charted_unit::celsius},
        {"Temp (deg C)", sign_id::temperature, charted_unit::celsius},
        {"Temp °C", sign_id::temperature, charted_unit::celsius},
        {"temperature_celsius", sign_id::temperature, charted_unit::celsius},
        {"Temp [F]", sign_id::temperature, charted_unit::fahrenheit},
        {"TempF", sign_id::temperature, charted_unit::fahrenheit},
        {"temp_degF", sign_id::temperature, charted_unit::fahrenheit},
        {"Temperature °F", sign_id::temperature, charted_unit::fahrenheit},
        {"Temperature(°F)", sign_id::temperature, charted_unit::fahrenheit},
        {"GCS (points)", sign_id::coma_total, charted_unit::points},
    };
    for (const auto& [text, sign, unit] : headers) {
        INFO(text);
        const column c = lone(text);
        CHECK(is_sign(c, sign));
        CHECK(c.unit == unit);
        CHECK(c.unit_stated);
    }
}

TEST_CASE("a name with more behind it than a unit is not that sign") {
    for (const auto text :
         {"SBP initial", "Pulse min", "Temp unit", "HRmin", "RRC", "pulsec", "Resp quality",
          "Sat Nav", "GCS qualifier", "BP location", "notes", ""}) {
        INFO(text);
        CHECK(lone(text).role == column_role::ignored);
    }
}

TEST_CASE("a column of whole blood pressures") {
    for (const auto text :
         {"BP", "NIBP", "Blood Pressure", "BP (mmHg)", "BP (Sys/Dia)", "bp_kpa"}) {
        INFO(text);
        CHECK(lone(text).role == column_role::pressures);
    }
    CHECK(lone("NIBP (kPa)").unit == charted_unit::kilopascal);
    CHECK(lone("NIBP (kPa)").unit_stated);
    CHECK_FALSE(lone("BP").unit_stated);
    CHECK(error_of({"report", "BP (/min)"}) ==
          "column 2 \"BP (/min)\": (/min) is not a unit of blood pressure");
    CHECK(error_of({"report", "BP", "NIBP"}) ==
          "columns 2 \"BP\" and 3 \"NIBP\" could both be the blood pressure");
    CHECK(error_of({"report", "DBP", "BP"}) ==
          "columns 2 \"DBP\" and 3 \"BP\" could both be the diastolic");
}

TEST_CASE("whole pressures beside both halves are not used, and the halves are named") {
    const auto outcome = header({"report", "BP", "SBP", "NIBP", "DBP"});
    REQUIRE_FALSE(outcome.error.has_value());
    for (const std::size_t i : {1U, 3U}) {
        CHECK(outcome.columns.columns[i].role == column_role::ignored);
        CHECK(outcome.columns.columns[i].remark == "not used: columns 3 \"SBP\" and 5 \"DBP\" are");
    }
}

TEST_CASE("whole pressures carry systolic, diastolic and mean") {
    const auto seen = header({"report", "BP"}).columns;
    CHECK(seen.signs_not_carried.size() == sign_count - 3);
    CHECK(seen.carries(sign_id::mean_pressure));
    CHECK_FALSE(seen.carries(sign_id::pulse));
    const auto with_mean = header({"report", "BP", "MAP"});
    REQUIRE_FALSE(with_mean.error.has_value());
    CHECK(with_mean.columns.columns[1].remark ==
          "the mean is that of column 3 \"MAP\" where it has one");
}

TEST_CASE("a unit that is not one of the sign's is an error that names the column") {
    const auto outcome = header({"report", "Temp (kPa)"});
    REQUIRE(outcome.error.has_value());
    CHECK(outcome.error->what == "column 2 \"Temp (kPa)\": (kPa) is not a unit of temperature");
    CHECK(outcome.error->remedy == "expected °C or °F");
    CHECK_FALSE(error_of({"report", "SBP mg/dL"}).empty());
    CHECK_FALSE(error_of({"report", "Pulse C"}).empty());
    CHECK_FALSE(error_of({"report", "AVPU (points)"}).empty());
}

TEST_CASE("a lone heart rate is a pulse, beside a pulse the ECG rate") {
    const auto alone = header({"report", "HR"});
    REQUIRE_FALSE(alone.error.has_value());
    CHECK(is_sign(alone.columns.columns[1], sign_id::pulse));
    CHECK_FALSE(alone.columns.columns[1].remark.empty());
    for (const auto& cells : {std::vector<std::string_view>{"report", "HR", "Pulse"},
                              std::vector<std::string_view>{"report", "Heart Rate (bpm)", "PR"}}) {
        const auto beside = header(cells);
        REQUIRE_FALSE(beside.error.has_value());
        CHECK(is_sign(beside.columns.columns[1], sign_id::ecg_rate));
        CHECK(is_sign(beside.columns.columns[2], sign_id::pulse));
    }
    CHECK(is_sign(header({"report", "HR", "ECG Rate"}).columns.columns[1], sign_id::pulse));
    CHECK_FALSE(error_of({"report", "HR", "Pulse", "ECG Rate"}).empty());
    CHECK_FALSE(error_of({"report", "HR", "Heart Rate"}).empty());
}

TEST_CASE("two columns for one sign are an error that names both") {
    const auto outcome = header({"report", "SBP", "pulse", "Systolic (mmHg)"});
    REQUIRE(outcome.error.has_value());
    CHECK(outcome.error->what ==
          "columns 2 \"SBP\" and 4 \"Systolic (mmHg)\" could both be the systolic");
    CHECK(outcome.error->remedy == "rename one of the two");
    CHECK_FALSE(error_of({"report", "temp_c", "temp_f"}).empty());
}

TEST_CASE("the report column: the more specific name wins") {
    for (const auto name : {"report", "Report ID", "Report No", "PCR", "PCR number", "PCR #",
                            "Run No.", "Case No", "ePCR", "record", "Record ID", "case", "Case ID",
                            "id", "entryid", "Patient Care Report Number"}) {
        INFO(name);
        CHECK(header({name, "pulse"}).columns.columns[0].role == column_role::report);
        CHECK(error_of({name, "pulse"}).empty());
    }
    const auto outcome = header({"id", "case", "PCR Number", "pulse"});
    REQUIRE_FALSE(outcome.error.has_value());
    REQUIRE(outcome.columns.find(column_role::report) != nullptr);
    CHECK(outcome.columns.find(column_role::report)->index == 2);
    CHECK(outcome.columns.columns[0].role == column_role::ignored);
    CHECK(outcome.columns.columns[0].remark == "not used: column 3 \"PCR Number\" is");
    CHECK(header({"id", "case", "pulse"}).columns.find(column_role::report)->index == 1);
    CHECK(error_of({"Report", "PCR", "pulse"}) ==
          "columns 1 \"Report\" and 2 \"PCR\" could both be the report identifier");
    CHECK(error_of({"id", "ID", "pulse"}) ==
          "columns 1 \"id\" and 2 \"ID\" could both be the report identifier");
}

TEST_CASE("crew and time columns") {
    for (const auto name :
         {"crew", "Unit", "unit id", "Crew ID", "Medic", "Truck", "Truck Number"}) {
        CHECK(lone(name).role == column_role::crew);
    }
    for (const auto name :
         {"taken at", "taken_at", "time", "Date Time", "Date/Time", "datetime", "timestamp",
          "Vitals Time", "taken", "charted at", "Obs Time", "Obs Date/Time", "Observation Time"}) {
        INFO(name);
        CHECK(lone(name).role == column_role::time);
    }
    const auto both = header({"report", "pulse", "time", "taken_at", "unit", "crew"}).columns;
    CHECK(both.find(column_role::time)->index == 3);
    CHECK(both.find(column_role::crew)->index == 5);
    CHECK_FALSE(error_of({"report", "pulse", "datetime", "timestamp"}).empty());
}

TEST_CASE("context columns, one a fact of the report") {
    for (std::size_t i = 0; i < fact_count; ++i) {
        INFO(fact_names[i]);
        const column c = lone(fact_names[i]);
        const bool may_be_stated =
            std::ranges::find(stated_facts, static_cast<fact>(i)) != stated_facts.end();
        CHECK(stated_fact(fact_names[i]).has_value() == may_be_stated);
        CHECK((c.role == column_role::known_fact) == may_be_stated);
        CHECK((!may_be_stated || c.known == static_cast<fact>(i)));
    }
    const std::vector<std::pair<std::string_view, fact>> aliases{
        {"Cardiac Arrest", fact::arrest},
        {"CPR in progress", fact::compressions},
        {"tube", fact::airway_tube},
        {"Intubated", fact::airway_tube},
        {"assisted ventilation", fact::ventilated},
        {"VAD", fact::assist_device},
        {"lvad", fact::assist_device},
        {"assist device", fact::assist_device},
        {"irregular", fact::irregular_rhythm},
        {"exposure", fact::exposure},
        {"Lab Glucose", fact::laboratory_glucose}};
    for (const auto& [name, known] : aliases) {
        INFO(name);
        CHECK(lone(name).role == column_role::known_fact);
        CHECK(lone(name).known == known);
    }
    CHECK(lone("Pressure Method").role == column_role::pressure_method);
    CHECK(lone("pulse_method").role == column_role::pulse_method);
    CHECK(lone("source").role == column_role::source);
    const auto twice = header({"report", "pulse", "tube", "intubated"}).columns;
    CHECK(twice.columns[2].role == column_role::known_fact);
    CHECK(twice.columns[3].role == column_role::ignored);
}

TEST_CASE("names and numbers of the national standard") {
    // NEMSIS v3.5.1, names of elements. All of eVitals is held to the standard's own list in
    // tests/outside.
    const std::vector<std::pair<std::string_view, column_role>> names{
        {"eRecord.01", column_role::report},
        {"Patient Care Report Number (eRecord.01)", column_role::report},
        {"eResponse.14", column_role::crew},
        {"EMS Unit Call Sign", column_role::crew},
        {"EMS Vehicle (Unit) Number", column_role::crew},
        {"Date/Time Vital Signs Taken", column_role::time},
        {"evitals.08", column_role::pressure_method},
        {"Method of Heart Rate Measurement", column_role::pulse_method},
        {"Cardiac Rhythm / Electrocardiography (ECG)", column_role::rhythm},
        {"Pulse Rhythm", column_role::rhythm},
        {"Respiratory Effort (eVitals.15)", column_role::breathing_effort},
        {"ePatient.15", column_role::age},
        {"Age Units [ePatient.16]", column_role::age_unit},
        {"Unit Notified by Dispatch Date/Time", column_role::unit_notified},
        {"eTimes.05", column_role::en_route},
        {"Unit Arrived on Scene Date/Time", column_role::on_scene},
        {"Arrived at Patient Date/Time (eTimes.07)", column_role::at_patient},
        {"Unit Left Scene Date/Time", column_role::left_scene},
        {"Patient Arrived at Destination Date/Time", column_role::at_destination},
        {"Destination Patient Transfer of Care Date/Time", column_role::transfer_of_care},
        {"Unit Back in Service Date/Time", column_role::back_in_service},
        {"On Scene Time", column_role::on_scene},
        {"eVitals.29", column_role::ignored},
        {"Stroke Scale Score (eVitals.29)", column_role::ignored},
        {"e.06", column_role::ignored},
        {"Report Time", column_role::ignored}};
    for (const auto& [name, role] : names) {
        INFO(name);
        CHECK(lone(name).role == role);
    }
    CHECK(is_sign(lone("eVitals.06"), sign_id::systolic));
    CHECK(is_sign(lone("SBP (Systolic Blood Pressure) (eVitals.06)"), sign_id::systolic));
    CHECK(is_sign(lone("End Tidal Carbon Dioxide (ETCO2)"), sign_id::exhaled_co2));
    CHECK(is_sign(lone("Level of Responsiveness (AVPU)"), sign_id::responsiveness));
    CHECK(is_sign(lone("Eye Opening"), sign_id::coma_eye));
    CHECK(is_sign(lone("Best Motor Response"), sign_id::coma_motor));
    const column fahrenheit = lone("Temperature (F) [eVitals.24]");
    CHECK(is_sign(fahrenheit, sign_id::temperature));
    CHECK(fahrenheit.unit == charted_unit::fahrenheit);
    CHECK(fahrenheit.unit_stated);
    // The number outranks a name that says something else.
    CHECK(is_sign(lone("Pulse (eVitals.12)"), sign_id::saturation));
}

TEST_CASE("a name and in brackets another of the same thing") {
    CHECK(is_sign(lone("Glucose (BGL)"), sign_id::glucose));
    const auto both = header({"report", "Heart Rate (Pulse)", "ECG rate"}).columns;
    CHECK(is_sign(both.columns[1], sign_id::pulse));
    CHECK(lone("Unit (Medic)").role == column_role::crew);
    for (const auto text : {"Glucose (lab)", "Pulse (SpO2)", "Temp (skin)", "(SBP)x"}) {
        INFO(text);
        CHECK(lone(text).role == column_role::ignored);
    }
}

TEST_CASE("ages whose unit stands in a column of its own have none by their header") {
    const auto seen = header({"report", "pulse", "Age", "Age Units"}).columns;
    CHECK(seen.columns[2].role == column_role::age);
    CHECK_FALSE(seen.columns[2].age_in.has_value());
    CHECK(seen.columns[2].remark == "in the unit of column 4 \"Age Units\"");
}

TEST_CASE("age in the unit its header names") {
    const std::vector<std::pair<std::string_view, age_unit>> names{
        {"age", age_unit::years},         {"Age (years)", age_unit::years},
        {"Patient Age", age_unit::years}, {"age_months", age_unit::months},
        {"Age (weeks)", age_unit::weeks}, {"Age in days", age_unit::days},
        {"age hours", age_unit::hours},   {"age (minutes)", age_unit::minutes}};
    for (const auto& [name, unit] : names) {
        INFO(name);
        CHECK(lone(name).role == column_role::age);
        CHECK(lone(name).age_in == unit);
    }
    CHECK(lone("age group").role == column_role::ignored);
    CHECK(lone("agency").role == column_role::ignored);
}

TEST_CASE("signs without a column are listed") {
    const auto seen = header({"report", "pulse", "SBP"}).columns;
    CHECK(seen.signs_not_carried.size() == sign_count - 2);
    CHECK(seen.find(sign_id::pulse)->index == 1);
    CHECK(seen.find(sign_id::glucose) == nullptr);
    CHECK(seen.find(column_role::age) == nullptr);
}

TEST_CASE("a header without a report or a sign is an error that shows it") {
    CHECK(error_of({"name", "SBP"}) ==
          "no column names the report; the header is \"name\", \"SBP\"");
    CHECK(error_of({"report", "name"}) ==
          "no column holds a vital sign; the header is \"report\", \"name\"");
}

TEST_CASE("headers are shown short and printable") {
    CHECK(shown_header("  SBP ") == "SBP");
    CHECK(shown_header(std::string(100, 'x')) == std::string(40, 'x') + "...");
    CHECK(shown_header(std::string(40, 'x')) == std::string(40, 'x'));
    CHECK(shown_header("a\x1B[31mb\r\nc") == "a?[31mb??c");
    CHECK(shown_header("Température °C") == "Température °C");
    CHECK(shown_header("a\xFF\xC3") == "a??");
    CHECK(shown_header("x\xE2\x80\xAEy") == "x???y");
    CHECK(shown_header("\xC0\xAF\xED\xA0\x80\xF5\x80") == "???????");
    CHECK(shown_header("a\xC2\x9B"
                       "b") == "a??b");
}

TEST_CASE("a number in a name is the group of the column") {
    const std::vector<std::pair<std::string_view, sign_id>> names{
        {"BP2 Sys", sign_id::systolic},       {"SBP_2", sign_id::systolic},
        {"SBP (2)", sign_id::systolic},       {"Sys BP #2", sign_id::systolic},
        {"SBP 02", sign_id::systolic},        {"2nd SBP", sign_id::systolic},
        {"Vitals 2 SBP", sign_id::systolic},  {"Vital Signs 2 - SBP (mmHg)", sign_id::systolic},
        {"SBP set no. 2", sign_id::systolic}, {"VS2_DBP", sign_id::diastolic},
        {"SpO2 2", sign_id::saturation},      {"SpO2_2", sign_id::saturation},
        {"SpO22", sign_id::saturation},       {"2 SpO2 %", sign_id::saturation},
        {"O2 Sat 2", sign_id::saturation},    {"EtCO2 #2 (mmHg)", sign_id::exhaled_co2},
        {"CO2 2", sign_id::exhaled_co2},      {"Temp 2 F", sign_id::temperature},
        {"Temp2F", sign_id::temperature},     {"GCS 2 Eye", sign_id::coma_eye},
        {"GCS2", sign_id::coma_total}};
    for (const auto& [name, sign] : names) {
        INFO(name);
        const std::string_view same_sign_first =
            sign == sign_id::systolic ? "SBP 1" : describe(sign).name;
        const auto outcome = header({"report", same_sign_first, name});
        REQUIRE_FALSE(outcome.error.has_value());
        CHECK(outcome.columns.groups == std::vector<unsigned>{1, 2});
        CHECK(is_sign(outcome.columns.columns[2], sign));
        CHECK(outcome.columns.columns[2].group == 2U);
    }
}

TEST_CASE("numbers that are part of a name, or of no name, are no groups") {
    for (const auto name : {"SpO2", "EtCO2", "CO2", "O2 Sat", "SpO₂"}) {
        INFO(name);
        const auto seen = header({"report", "pulse", name}).columns;
        CHECK(seen.groups.empty());
        CHECK(seen.columns[2].role == column_role::sign);
    }
    for (const auto name : {"T1", "O2", "12", "Pain 1", "SBP 2020", "SBP 15 min", "Lead 2", "",
                            "Crew 2", "Unit 2", "PCR 2", "Age 2", "Time 2", "CPR 1"}) {
        INFO(name);
        const auto seen = header({"report", "pulse", name}).columns;
        CHECK(seen.groups.empty());
        CHECK(seen.columns[2].role == column_role::ignored);
    }
    // Out of 15: not the fifteenth set.
    const auto out_of = header({"report", "pulse", "GCS/15"}).columns;
    CHECK(out_of.groups.empty());
    CHECK(out_of.columns[2].role == column_role::ignored);
    CHECK(out_of.columns[2].remark ==
          "not used: 15 is no number of a set, as the one before is missing");
}

TEST_CASE("columns without a number beside groups") {
    const auto groups_of = [](const std::vector<std::string_view>& cells) {
        std::vector<int> groups;
        for (const column& c : header(cells).columns.columns) {
            groups.push_back(c.role == column_role::ignored ? -2
                             : c.group                      ? static_cast<int>(*c.group)
                                                            : -1);
        }
        return groups;
    };
    using list = std::vector<int>;
    CHECK(groups_of({"report", "crew", "age", "CPR", "SBP 1", "SBP 2", "CPR 2"}) ==
          list{-1, -1, -1, -1, 1, 2, 2});
    // Signs: the first set, or one before it.
    CHECK(groups_of({"report", "SBP", "DBP", "SBP2", "DBP2"}) == list{-1, 1, 1, 2, 2});
    CHECK(groups_of({"report", "SBP", "SBP.1", "SBP.2"}) == list{-1, 0, 1, 2});
    CHECK(groups_of({"report", "Glucose", "SBP 1", "SBP 2"}) == list{-1, 1, 1, 2});
    CHECK(groups_of({"report", "SBP 0", "SBP 1"}) == list{-1, 0, 1});
    // Times: all sets, or the first where others have their own.
    CHECK(groups_of({"report", "Time", "SBP 1", "SBP 2"}) == list{-1, -1, 1, 2});
    CHECK(groups_of({"report", "Date", "SBP 1", "Time 1", "SBP 2", "Time 2"}) ==
          list{-1, -1, 1, 1, 2, 2});
    CHECK(groups_of({"report", "Time", "SBP", "Time 2", "SBP 2"}) == list{-1, 1, 1, 2, 2});
    CHECK(groups_of({"report", "Time", "SBP 1", "Time 1", "SBP 2", "Time 2"}) ==
          list{-1, -2, 1, 1, 2, 2});
    CHECK(groups_of({"report", "SBP 1", "SBP 2", "Time 3"}) == list{-1, 1, 2, -2});
    // One group alone is none.
    CHECK(groups_of({"report", "SBP 1", "DBP 1", "Time 1", "pulse"}) == list{-1, -1, -1, -1, -1});
}

TEST_CASE("two columns for one sign in one group are an error that names both") {
    CHECK(error_of({"report", "SBP 1", "BP1 Sys", "SBP 2"}) ==
          "columns 2 \"SBP 1\" and 3 \"BP1 Sys\" could both be the systolic");
    CHECK(error_of({"report", "SBP", "Systolic", "SBP 2"}) ==
          "columns 2 \"SBP\" and 3 \"Systolic\" could both be the systolic");
    CHECK(error_of({"report", "SBP 1", "SBP 2", "Time 2", "Time_2"}) ==
          "columns 4 \"Time 2\" and 5 \"Time_2\" could both be the time of a set");
    CHECK(error_of({"report", "HR 1", "Pulse 1", "HR 2", "BP 1", "BP 2"}).empty());
}
