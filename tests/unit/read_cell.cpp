// What a cell says of a vital sign: numbers, absences, HI and LO, units, levels, and nonsense.
#include "read/absence_words.hpp"
#include "read/cell.hpp"
#include "read/charted_unit.hpp"
#include "read/text.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <string>
#include <vector>

namespace {

using namespace vitalproof;
using namespace vitalproof::read;
using namespace std::literals;

cell_value cell(sign_id sign, std::string_view text) {
    return read_cell(text, {.sign = sign, .unit = held_unit(sign)});
}

cell_value cell_in(sign_id sign, charted_unit unit, std::string_view text) {
    return read_cell(text, {.sign = sign, .unit = unit, .unit_stated = true});
}

bool is_number(const cell_value& c, double value) {
    return c.state == reading_state::number && c.value == value;
}

bool is_absent(const cell_value& c, absence why) {
    return c.state == reading_state::absent && c.why == why;
}

std::vector<sign_id> numeric_signs() {
    std::vector<sign_id> signs;
    for (const sign_info& sign : sign_table) {
        if (sign.id != sign_id::responsiveness) {
            signs.push_back(sign.id);
        }
    }
    return signs;
}

}  // namespace

TEST_CASE("minus zero in a cell is zero") {
    CHECK_FALSE(std::signbit(cell(sign_id::pulse, "-0").value));
}

TEST_CASE("a plain number in every sign is that number, and keeps no text") {
    for (const sign_id sign : numeric_signs()) {
        for (const auto text : {"12", " 12 ", "12.0", "\t12"}) {
            const cell_value c = cell(sign, text);
            INFO(describe(sign).name);
            CHECK(is_number(c, 12));
            CHECK(c.charted.empty());
        }
    }
    CHECK(is_number(cell(sign_id::coma_eye, "2.7"), 2.7));
    CHECK(is_number(cell(sign_id::pulse, "1e300"), 1e300));
    CHECK(is_number(cell(sign_id::temperature, "-3.5"), -3.5));
}

TEST_CASE("absences, and whether they give a reason") {
    for (const sign_info& sign : sign_table) {
        INFO(sign.name);
        for (const auto text : {"", "  ", "-", "NaN", "nan", "null", "NULL"}) {
            CHECK(is_absent(cell(sign.id, text), absence::blank));
        }
        for (const auto text : {"N/A", "n/a", "NA", "Not Applicable"}) {
            CHECK(is_absent(cell(sign.id, text), absence::not_applicable));
        }
        CHECK(is_absent(cell(sign.id, "Refused"), absence::refused));
        CHECK(is_absent(cell(sign.id, "UNABLE"), absence::unable));
        for (const auto text : {"unable to complete", "unable to obtain", "UTO", "Not obtained"}) {
            CHECK(is_absent(cell(sign.id, text), absence::unable));
        }
        for (const auto text : {"-", "--", "---", "\u2013", "\u2014\u2014"}) {
            CHECK(is_absent(cell(sign.id, text), absence::blank));
        }
        for (const auto text : {"patient refused", "Pt refused"}) {
            CHECK(is_absent(cell(sign.id, text), absence::refused));
        }
        for (const auto text : {"not recorded", "Not taken", "not done", "not assessed"}) {
            CHECK(is_absent(cell(sign.id, text), absence::not_recorded));
        }
        CHECK(is_absent(cell(sign.id, "exam finding not present"), absence::not_present));
    }
}

TEST_CASE("the national standard's codes for no value") {
    // NEMSIS v3.5: not values and pertinent negatives.
    for (const sign_info& sign : sign_table) {
        CHECK(is_absent(cell(sign.id, "7701001"), absence::not_applicable));
        CHECK(is_absent(cell(sign.id, " 7701003 "), absence::not_recorded));
        CHECK(is_absent(cell(sign.id, "8801005"), absence::not_present));
        CHECK(is_absent(cell(sign.id, "8801019"), absence::refused));
        CHECK(is_absent(cell(sign.id, "8801023"), absence::unable));
    }
    for (const auto text : {"770100", "77010033", "7700003", "7701003.0"}) {
        CHECK(cell(sign_id::pulse, text).state == reading_state::number);
    }
    CHECK(says_nothing("Not Recorded"));
    CHECK(says_nothing("\u2014"));
    CHECK_FALSE(says_nothing("no"));
}

TEST_CASE("a palpated pressure may stand whole in the systolic's cell") {
    for (const auto text : {"110/P", "110/p", "110 / palp", "110 palp", "110P", "110 Palpated"}) {
        const auto read = cell(sign_id::systolic, text);
        CHECK(read.state == reading_state::number);
        CHECK(read.value == 110);
        CHECK(read.palpated);
    }
    for (const auto text : {"110/", "/P", "110/P/P", "x/P", "110/70", "palp", "110 palp 70"}) {
        CHECK(cell(sign_id::systolic, text).state == reading_state::unreadable);
    }
    for (const auto text : {"110/P", "110 palp", "70P"}) {
        CHECK(cell(sign_id::diastolic, text).state == reading_state::unreadable);
    }
}

TEST_CASE("a remark behind a number leaves the number as it is") {
    struct remarked {
        sign_id sign;
        std::string_view text;
        double value;
        facts known;
    };
    const auto yes = [](fact f) { return facts().state(f, true); };
    const auto no = [](fact f) { return facts().state(f, false); };
    const std::vector<remarked> cells{
        {sign_id::saturation, "98% RA", 98, no(fact::oxygen)},
        {sign_id::saturation, "98%RA", 98, no(fact::oxygen)},
        {sign_id::saturation, "98 on room air", 98, no(fact::oxygen)},
        {sign_id::saturation, "94% on 2L NC", 94, yes(fact::oxygen)},
        {sign_id::saturation, "94 % (15 lpm via NRB)", 94, yes(fact::oxygen)},
        {sign_id::saturation, "91% RA, 97% on O2", 0, {}},
        {sign_id::saturation, "94% RA on 2L", 94, {}},
        {sign_id::pulse, "88 reg", 88, {}},
        {sign_id::pulse, "88/min strong, regular", 88, no(fact::irregular_rhythm)},
        {sign_id::pulse, "88 irreg", 88, yes(fact::irregular_rhythm)},
        {sign_id::pulse, "110 irregular", 110, yes(fact::irregular_rhythm)},
        {sign_id::ecg_rate, "70 (paced)", 70, yes(fact::paced)},
        {sign_id::respiratory_rate, "18 unlabored", 18, {}},
        {sign_id::respiratory_rate, "12 BVM", 12, yes(fact::ventilated)},
        {sign_id::respiratory_rate, "12 irregular", 12, {}},
        {sign_id::temperature, "36.8 oral", 36.8, {}},
        {sign_id::temperature, "36.8 °C (tympanic)", 36.8, {}},
        {sign_id::systolic, "120 mm Hg left arm", 120, {}},
        {sign_id::diastolic, "80 sitting", 80, {}},
        {sign_id::coma_total, "8T", 8, {}},
        {sign_id::coma_total, "15/15", 15, {}},
        {sign_id::coma_eye, "4/4", 4, {}},
    };
    for (const remarked& of : cells) {
        INFO(of.text);
        const cell_value read = cell(of.sign, of.text);
        if (of.value == 0) {
            CHECK(read.state == reading_state::unreadable);
            continue;
        }
        CHECK(is_number(read, of.value));
        CHECK(read.known == of.known);
    }
    // The remark is not part of the value that a question shows.
    CHECK(cell(sign_id::saturation, "98% RA").charted.text() == "98%");
    CHECK(cell(sign_id::pulse, "88 reg").charted.empty());
    CHECK(cell_in(sign_id::temperature, charted_unit::fahrenheit, "98.6 oral").charted.text() ==
          "98.6 °F");
}

TEST_CASE("the sign's own name or a remark before a number leaves the number as it is") {
    const auto yes = [](fact f) { return facts().state(f, true); };
    struct led {
        sign_id sign;
        std::string_view text;
        double value;
        facts known{};
    };
    for (const led& of :
         std::vector<led>{{sign_id::respiratory_rate, "RR 18", 18},
                          {sign_id::respiratory_rate, "resp rate: 18", 18},
                          {sign_id::respiratory_rate, "labored 24", 24},
                          {sign_id::respiratory_rate, "assisted 12/min", 12, yes(fact::ventilated)},
                          {sign_id::pulse, "HR 88", 88},
                          {sign_id::ecg_rate, "HR=88", 88},
                          {sign_id::pulse, "irregular 110", 110, yes(fact::irregular_rhythm)},
                          {sign_id::pulse, "Pulse 110 irregular", 110, yes(fact::irregular_rhythm)},
                          {sign_id::saturation, "SpO2 98%", 98},
                          {sign_id::saturation, "O2: 98%", 98},
                          {sign_id::pulse, "P 88", 88},
                          {sign_id::respiratory_rate, "R: 16", 16},
                          {sign_id::temperature, "T 36.9", 36.9},
                          {sign_id::saturation, "RA 98%", 98, facts().state(fact::oxygen, false)},
                          {sign_id::saturation, "SpO2: 94% on 2L NC", 94, yes(fact::oxygen)},
                          {sign_id::coma_total, "GCS 15", 15},
                          {sign_id::coma_total, "GCS = 8T", 8},
                          {sign_id::coma_total, "T 8", 8},  // as 8T
                          {sign_id::systolic, "left arm 120", 120},
                          {sign_id::systolic, "BP 120", 120},
                          {sign_id::glucose, "BGL 110 mg/dL", 110}}) {
        INFO(of.text);
        const cell_value read = cell(of.sign, of.text);
        CHECK(is_number(read, of.value));
        CHECK(read.known == of.known);
    }
    CHECK(cell(sign_id::respiratory_rate, "RR 18").charted.empty());
    CHECK(is_number(cell_in(sign_id::temperature, charted_unit::fahrenheit, "Temp 98.6 F"), 37));
}

TEST_CASE("another sign's name, a word that is none of its own and two numbers are no lead") {
    for (const auto& [sign, text] :
         std::vector<std::pair<sign_id, std::string_view>>{{sign_id::pulse, "RR 18"},
                                                           {sign_id::pulse, "ECG rate 88"},
                                                           {sign_id::systolic, "MAP 93"},
                                                           {sign_id::systolic, "P 110"},
                                                           {sign_id::systolic, "DBP 80"},
                                                           {sign_id::glucose, "BP 110"},
                                                           {sign_id::pulse, "about 88"},
                                                           {sign_id::pulse, "RA 88"},
                                                           {sign_id::pulse, "HR 88 110"},
                                                           {sign_id::pulse, "HR"},
                                                           {sign_id::pulse, "HR HR 88"},
                                                           {sign_id::pulse, "HR -88 x"},
                                                           {sign_id::saturation, "SpO2"}}) {
        INFO(text);
        const cell_value read = cell(sign, text);
        CHECK(read.state == reading_state::unreadable);
        CHECK(read.known == facts());
    }
    CHECK(cell(sign_id::pulse, "HR" + std::string(1'000'000, ' ') + "88").state ==
          reading_state::unreadable);
}

TEST_CASE("what is not said of a sign, and a second number, are no remark") {
    for (const auto& [sign, text] : std::vector<std::pair<sign_id, std::string_view>>{
             {sign_id::pulse, "88 RA"},
             {sign_id::pulse, "88 John"},
             {sign_id::pulse, "88 110"},
             {sign_id::pulse, "88 reg 110"},
             {sign_id::pulse, "reg"},
             {sign_id::saturation, "98 2"},
             {sign_id::saturation, "98% on 2"},
             {sign_id::saturation, "98% 95% RA"},
             {sign_id::saturation, "98 mmHg RA"},
             {sign_id::systolic, "12l"},
             {sign_id::systolic, "120 L"},
             {sign_id::glucose, "110 oral"},
             {sign_id::coma_total, "15/14"},
             {sign_id::coma_verbal, "2T"},
             {sign_id::temperature, "36.8 98.2 oral"}}) {
        INFO(text);
        const cell_value read = cell(sign, text);
        CHECK(read.state == reading_state::unreadable);
        CHECK(read.known == facts());
    }
    CHECK(cell_in(sign_id::temperature, charted_unit::fahrenheit, "36.8 C oral").state ==
          reading_state::unreadable);
    CHECK(cell(sign_id::pulse, "88" + std::string(1'000'000, ' ') + "x").state ==
          reading_state::unreadable);
}

TEST_CASE("a part of the coma score in words, with its number or without") {
    CHECK(
        is_number(cell(sign_id::coma_eye, "Opens Eyes to verbal stimulation (All Age Groups)"), 3));
    CHECK(is_number(cell(sign_id::coma_eye, "4 - Spontaneous"), 4));
    CHECK(is_number(cell(sign_id::coma_eye, "4-Spontaneous"), 4));
    CHECK(is_number(cell(sign_id::coma_verbal, "Confused"), 4));
    CHECK(is_number(cell(sign_id::coma_motor, "5: localizes pain"), 5));
    for (const auto& [sign, text] :
         std::vector<std::pair<sign_id, std::string_view>>{{sign_id::coma_eye, "3 - Spontaneous"},
                                                           {sign_id::coma_eye, "None"},
                                                           {sign_id::coma_eye, "14 Spontaneous"},
                                                           {sign_id::coma_eye, "Confused"},
                                                           {sign_id::coma_total, "Confused"},
                                                           {sign_id::pulse, "Oriented"}}) {
        INFO(text);
        CHECK(cell(sign, text).state == reading_state::unreadable);
    }
}

TEST_CASE("a part of the coma score that could not be tested is no score and no gap") {
    for (const auto& [sign, text] :
         std::vector<std::pair<sign_id, std::string_view>>{{sign_id::coma_verbal, "1T"},
                                                           {sign_id::coma_verbal, "t"},
                                                           {sign_id::coma_eye, "1C"},
                                                           {sign_id::coma_eye, "C"},
                                                           {sign_id::coma_motor, "NT"},
                                                           {sign_id::coma_total, "nt"}}) {
        CHECK(is_absent(cell(sign, text), absence::unable));
    }
    for (const auto sign : {sign_id::pulse, sign_id::coma_motor, sign_id::coma_eye}) {
        CHECK(cell(sign, "1T").state == reading_state::unreadable);
    }
}

TEST_CASE("beyond what the device can read") {
    for (const auto text : {"HI", "hi", "High", ">600", "> 600", ">600 mg/dL", " HI "}) {
        const cell_value c = cell(sign_id::glucose, text);
        INFO(text);
        CHECK(c.state == reading_state::above);
        CHECK_FALSE(c.charted.empty());
    }
    for (const auto text : {"LO", "Low", "<20", "< 20.5"}) {
        CHECK(cell(sign_id::glucose, text).state == reading_state::below);
    }
    CHECK(cell(sign_id::glucose, ">600").charted.text() == ">600");
    for (const auto text : {">", "<", ">x", "><5", ">600 mmHg", "HI!"}) {
        CHECK(cell(sign_id::glucose, text).state == reading_state::unreadable);
    }
}

TEST_CASE("what is no value of its sign is unreadable and shown where it may be") {
    for (const sign_info& sign : sign_table) {
        for (const auto text : {"inf", "-inf", "12O", "l2", "120/", "120/80", "1,5", "?", "12 ?",
                                "0x10", "1e999", "12 34", "\"", "98..6"}) {
            INFO(sign.name << ": " << text);
            const cell_value c = cell(sign.id, text);
            CHECK(c.state == reading_state::unreadable);
            CHECK_FALSE(c.charted.empty());
        }
    }
    CHECK(cell(sign_id::pulse, "12O").charted.text() == "12O");
    CHECK(cell(sign_id::pulse, "John Smith").charted.display() == "text of 10 characters");
}

TEST_CASE("commas in cells, by what a comma is in the file") {
    CHECK(is_number(cell(sign_id::glucose, "1,200"), 1200));
    CHECK(is_number(cell(sign_id::glucose, "1,200 mg/dL"), 1200));
    CHECK(cell(sign_id::glucose, ">1,000").state == reading_state::above);
    CHECK(cell(sign_id::temperature, "36,8").state == reading_state::unreadable);
    cell_rules rules{.sign = sign_id::temperature, .unit = charted_unit::celsius};
    rules.decimal_comma = true;
    CHECK(is_number(read_cell("36,8", rules), 36.8));
    CHECK(is_number(read_cell("36,8 °C", rules), 36.8));
    CHECK(is_number(read_cell("36.8", rules), 36.8));
    CHECK(read_cell("98,6 °F", rules).value == Approx(37).epsilon(1e-12));
    CHECK(read_cell("1,200", rules).state == reading_state::unreadable);
    rules = {.sign = sign_id::systolic, .decimal_comma = true};
    CHECK(read_cell("110,0/P", rules).value == 110);
}

TEST_CASE("non-breaking and full-width spaces are spaces") {
    CHECK(is_number(cell(sign_id::pulse, "\u00A072\u00A0"), 72));
    CHECK(is_number(cell(sign_id::pulse, " \u300072\u202F\t"), 72));
    CHECK(is_number(cell(sign_id::pulse, "\uFEFF72"), 72));
    CHECK(is_absent(cell(sign_id::pulse, "\u00A0"), absence::blank));
    CHECK(is_absent(cell(sign_id::pulse, "\u3000refused"), absence::refused));
    CHECK(is_blank(std::string_view("\u00A0 \u2003")));
    CHECK_FALSE(is_blank(std::string_view("\u00A0.\u2003")));
    for (const auto text : {"7\u00A02", "72\xA0", "72\xC2", "\u00E972"}) {
        CHECK(cell(sign_id::pulse, text).state == reading_state::unreadable);
    }
}

TEST_CASE("an error of a spreadsheet is unreadable, #N/A too") {
    for (const auto text :
         {"#N/A", "#DIV/0!", "#REF!", "#VALUE!", "#NAME?", "#NUM!", "#NULL!", "#n/a"}) {
        INFO(text);
        CHECK(cell(sign_id::glucose, text).state == reading_state::unreadable);
        CHECK(cell(sign_id::responsiveness, text).state == reading_state::unreadable);
    }
    CHECK(cell(sign_id::glucose, "#N/A").charted.text() == "#N/A");
}

TEST_CASE("a trailing unit of the column's own is accepted") {
    CHECK(is_number(cell(sign_id::saturation, "98%"), 98));
    CHECK(is_number(cell(sign_id::saturation, "98 %"), 98));
    CHECK(is_number(cell(sign_id::systolic, "120 mmHg"), 120));
    CHECK(is_number(cell(sign_id::systolic, "120mm[Hg]"), 120));
    CHECK(is_number(cell(sign_id::pulse, "72 bpm"), 72));
    CHECK(is_number(cell(sign_id::respiratory_rate, "16/min"), 16));
    CHECK(is_number(cell(sign_id::temperature, "36.6 °C"), 36.6));
    CHECK(is_number(cell(sign_id::glucose, "-5 mg/dL"), -5));
    // Kept where nothing else states the unit.
    CHECK(cell(sign_id::saturation, "98%").charted.text() == "98%");
    CHECK(cell_in(sign_id::saturation, charted_unit::percent, "98%").charted.empty());
    CHECK(cell(sign_id::pulse, "72 mmHg").state == reading_state::unreadable);
    CHECK(cell(sign_id::saturation, "98 bpm").state == reading_state::unreadable);
}

TEST_CASE("without a unit in the header the cell's own unit decides") {
    const cell_value c = cell(sign_id::glucose, "5.4 mmol/L");
    CHECK(c.state == reading_state::number);
    CHECK(c.value == Approx(5.4 * 18.0156).epsilon(1e-12));
    CHECK(c.charted.text() == "5.4 mmol/L");
    CHECK(cell(sign_id::temperature, "98.6F").value == Approx(37).epsilon(1e-12));
}

TEST_CASE("a cell that contradicts its header is unreadable") {
    CHECK(cell_in(sign_id::glucose, charted_unit::mg_per_dl, "5.4 mmol/L").state ==
          reading_state::unreadable);
    CHECK(cell_in(sign_id::temperature, charted_unit::fahrenheit, "37 °C").state ==
          reading_state::unreadable);
    CHECK(cell_in(sign_id::glucose, charted_unit::mmol_per_l, "5.4 mmol/L").value ==
          Approx(97.28424).epsilon(1e-12));
}

TEST_CASE("a converted value keeps what was charted, with its unit") {
    const cell_value f = cell_in(sign_id::temperature, charted_unit::fahrenheit, "98.6");
    CHECK(f.value == Approx(37).epsilon(1e-12));
    CHECK(f.charted.text() == "98.6 °F");
    const cell_value kpa = cell_in(sign_id::systolic, charted_unit::kilopascal, "16");
    CHECK(kpa.value == Approx(16 / 0.133322387415).epsilon(1e-12));
    CHECK(kpa.charted.text() == "16 kPa");
    const cell_value share = cell_in(sign_id::saturation, charted_unit::fraction, "0.98");
    CHECK(share.value == Approx(98).epsilon(1e-12));
    CHECK(share.charted.text() == "0.98");
    const cell_value co2 = cell_in(sign_id::exhaled_co2, charted_unit::percent, "5");
    CHECK(co2.value == Approx(38).epsilon(1e-12));
    CHECK(co2.charted.text() == "5 %");
    const cell_value longer = cell_in(sign_id::glucose, charted_unit::mmol_per_l, "5.40000000000");
    CHECK(longer.charted.text() == "5.40000000000");
}

TEST_CASE("exhaled CO2 in percent follows the basis that is set") {
    const cell_rules rules{.sign = sign_id::exhaled_co2,
                           .unit = charted_unit::percent,
                           .unit_stated = true,
                           .co2 = {.barometric = 760.0 * mmHg, .water_vapour = 47.0 * mmHg}};
    CHECK(read_cell("5", rules).value == Approx(35.65).epsilon(1e-12));
}

TEST_CASE("a value that overflows in conversion is unreadable") {
    CHECK(cell_in(sign_id::systolic, charted_unit::kilopascal, "1e308").state ==
          reading_state::unreadable);
}

TEST_CASE("levels of responsiveness by letter or word") {
    const auto level = [](std::string_view text) { return cell(sign_id::responsiveness, text); };
    CHECK(is_number(level("A"), 1));
    CHECK(is_number(level("alert"), 1));
    CHECK(is_number(level("v"), 2));
    CHECK(is_number(level("Voice"), 2));
    CHECK(is_number(level("verbal"), 2));
    CHECK(is_number(level("P"), 3));
    CHECK(is_number(level("Pain"), 3));
    CHECK(is_number(level("PAINFUL"), 3));
    CHECK(is_number(level("U"), 4));
    CHECK(is_number(level("Unresponsive"), 4));
    for (const auto text : {"A&Ox4", "AOx3", "A/O x 2", "CAOx4", "A&O", "Alert x4", "A - Alert",
                            "alert and oriented", "Alert & Oriented x3"}) {
        INFO(text);
        CHECK(is_number(level(text), 1));
    }
    CHECK(is_number(level("responds to voice"), 2));
    CHECK(is_number(level("V - Verbal"), 2));
    CHECK(is_number(level("Responsive to pain"), 3));
    CHECK(is_number(level("(U) Unresponsive"), 4));
    for (const auto text : {"1", "2", "3", "4", "0", "15", "14", "HI", "AV", "awake", ">1", "Cao",
                            "Ao", "A4", "x4", "pain x4", "voice 2"}) {
        INFO(text);
        CHECK(level(text).state == reading_state::unreadable);
    }
}

TEST_CASE("a palpated diastolic is no gap, and P means that nowhere else") {
    for (const auto text : {"P", "p", "palp", "Palpated"}) {
        const cell_value c = cell(sign_id::diastolic, text);
        CHECK(is_absent(c, absence::not_applicable));
        CHECK(c.palpated);
        CHECK(c.charted.text() == text);
        CHECK(cell(sign_id::systolic, text).state == reading_state::unreadable);
    }
    CHECK_FALSE(cell(sign_id::diastolic, "80").palpated);
    CHECK_FALSE(cell(sign_id::diastolic, "N/A").palpated);
}

TEST_CASE("a cell becomes the reading it describes") {
    const auto number = to_reading<sign::pulse>(cell(sign_id::pulse, "72"), method::felt);
    CHECK(number.raw() == 72);
    CHECK(number.how() == method::felt);
    CHECK(to_reading<sign::glucose>(cell(sign_id::glucose, "HI")).state() == reading_state::above);
    CHECK(to_reading<sign::glucose>(cell(sign_id::glucose, "LO")).state() == reading_state::below);
    const auto refused = to_reading<sign::glucose>(cell(sign_id::glucose, "refused"));
    CHECK(refused.state() == reading_state::absent);
    CHECK(refused.why_absent() == absence::refused);
    vital_set set;
    put_cell(set, sign::pulse{}, cell(sign_id::pulse, "12O"));
    CHECK(set.pulse.state() == reading_state::unreadable);
    CHECK(set.charted[sign::pulse{}].text() == "12O");
    put_cell(set, sign::pulse{}, cell(sign_id::pulse, "72"));
    CHECK(set.pulse.raw() == 72);
    CHECK(set.charted[sign::pulse{}].empty());
}
