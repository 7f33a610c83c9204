// Words: numbers as people write them, questions filled in, limits as they applied.
#include <vitalproof/examine.hpp>
#include <vitalproof/message.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <limits>
#include <string>

using namespace vitalproof;

namespace {

finding find(const care_report& report, std::string_view code, const limits& in_force = {}) {
    for (const finding& f : examine(report, in_force)) {
        if (f.info().code == code) {
            return f;
        }
    }
    FAIL(code << " did not fire");
    return {};
}

care_report with(const vital_set& set, const facts& known = {}) {
    care_report report;
    report.id = "a";
    report.sets = {set};
    report.known = known;
    return report;
}

vital_set pressure(double systolic, double diastolic) {
    vital_set set;
    set.systolic = systolic * mmHg;
    set.diastolic = diastolic * mmHg;
    return set;
}

const message_writer by_default{limits{}};

}  // namespace

TEST_CASE("numbers") {
    CHECK(message::number(37) == "37");
    CHECK(message::number(98.6) == "98.6");
    CHECK(message::number(0.98) == "0.98");
    CHECK(message::number(5.5507449) == "5.55");
    CHECK(message::number(120.10) == "120.1");
    CHECK(message::number(0) == "0");
    CHECK(message::number(-0.0) == "0");
    CHECK(message::number(-0.001) == "0");
    CHECK(message::number(-3.5) == "-3.5");
    CHECK(message::number(100) == "100");
    CHECK(message::number(9999999) == "9999999");
    CHECK(message::number(1e300) == "1e+300");
    CHECK(message::number(-1e300) == "-1e+300");
}

// The short way to the digits of what is charted, against the general one.
TEST_CASE("hundredths read as rounding would have them") {
    const auto rounded = [](double value) {
        std::array<char, message::detail::longest_number> text{};
        return std::string(text.data(), message::detail::put_rounded(text.data(), value));
    };
    for (int hundredths = -120'000; hundredths <= 120'000; ++hundredths) {
        const double value = hundredths / 100.0;
        for (const double near : {value, std::nextafter(value, 1e9), value + 0.005}) {
            if (message::number(near) != rounded(near)) {
                FAIL(near << " reads " << message::number(near));
            }
        }
    }
    for (const double value : {9999999.99, 9999999.999, 1e7, -9999999.99, 0.125, 0.375}) {
        CHECK(message::number(value) == rounded(value));
    }
    CHECK(message::number(std::numeric_limits<double>::quiet_NaN()) == "nan");
    CHECK(message::number(-std::numeric_limits<double>::infinity()) == "-inf");
}

TEST_CASE("a number with its unit") {
    CHECK(message::with_unit(120, "mmHg") == "120 mmHg");
    CHECK(message::with_unit(20, "/min") == "20/min");
    CHECK(message::with_unit(98, "%") == "98 %");
    CHECK(message::with_unit(36.8,
                             "\xC2\xB0"
                             "C") ==
          "36.8 \xC2\xB0"
          "C");
    CHECK(message::with_unit(7, "points") == "7");
    CHECK(message::with_unit(4, "") == "4");
}

TEST_CASE("what stands in the chart") {
    const auto reading = [](sign_id sign, reading_state state, double value,
                            charted_text text = {}) {
        return message::charted({sign, state, absence::refused, value, text});
    };
    constexpr double none = std::numeric_limits<double>::quiet_NaN();
    CHECK(reading(sign_id::systolic, reading_state::number, 120) == "120 mmHg");
    CHECK(reading(sign_id::glucose, reading_state::above, none) == "HI");
    CHECK(reading(sign_id::glucose, reading_state::below, none) == "LO");
    CHECK(reading(sign_id::glucose, reading_state::absent, none) == "refused");
    CHECK(reading(sign_id::glucose, reading_state::unreadable, none) == "unreadable");
    CHECK(reading(sign_id::glucose, reading_state::unreadable, none, charted_text("12O")) == "12O");
    CHECK(reading(sign_id::pulse, reading_state::unreadable, none, charted_text("Example")) ==
          "text of 7 characters");
    CHECK(reading(sign_id::responsiveness, reading_state::number, 2) == "verbal");
    CHECK(reading(sign_id::responsiveness, reading_state::number, 5) == "5");
}

TEST_CASE("a crew is not told what its source has a place for") {
    const auto spoken = [](absence why) {
        std::string text;
        message::append_spoken(text, {sign_id::coma_eye,
                                      reading_state::absent,
                                      why,
                                      std::numeric_limits<double>::quiet_NaN(),
                                      {}});
        return text;
    };
    CHECK(spoken(absence::not_carried) == "not given");
    CHECK(spoken(absence::blank) == "left blank");
    CHECK(spoken(absence::refused) == "refused");
}

TEST_CASE("a question says which set, what was charted, and asks") {
    care_report report = with(pressure(120, 80));
    report.sets.push_back(pressure(72, 118));
    using namespace std::chrono;
    report.sets[1].taken_at = set_time{local_days{2026y / March / 1} + hours{14} + minutes{32}, {}};
    const finding f = find(report, "pressure.order");
    const std::string question = by_default.question(f);
    CHECK(question.starts_with("Set 2, 14:32: Systolic 72 mmHg"));
    CHECK(question.find("118 mmHg") != std::string::npos);
    CHECK(by_default.charted(f) == "72 mmHg");
}

TEST_CASE("times as a file holds them") {
    using namespace std::chrono;
    const local_seconds noon = local_days{2026y / March / 1} + hours{12};
    CHECK(message::time({}).empty());
    CHECK(message::time(set_time{noon, {}}) == "2026-03-01T12:00:00");
    CHECK(message::time(set_time{noon, minutes{-330}}) == "2026-03-01T12:00:00-05:30");
    CHECK(message::time(set_time{noon, minutes{60}}) == "2026-03-01T12:00:00+01:00");
    CHECK(message::time(set_time{local_seconds{hours{26} + minutes{7}}, {}, true}) == "26:07");
}

TEST_CASE("what is expected follows the limits in force") {
    limits in_force;
    in_force.of<checks::pressure_narrow>().under = real{20} * mmHg;
    const finding f = find(with(pressure(100, 85)), "pressure.narrow", in_force);
    CHECK(message_writer(in_force).expected(f) ==
          "at least 20 mmHg between systolic and diastolic");
}

TEST_CASE("a range is the one that applied") {
    vital_set cold;
    cold.temperature = 12.5 * degC;
    CHECK(by_default.expected(find(with(cold), "unlikely.temperature")) ==
          "30 to 42.5 \xC2\xB0"
          "C");
    CHECK(by_default.expected(
              find(with(cold, facts{}.state(fact::exposure, true)), "unlikely.temperature")) ==
          "13 to 46 \xC2\xB0"
          "C");
    care_report infant = with({});
    infant.sets[0].pulse = 305.0 * per_minute;
    infant.age = age_in_years(1);
    CHECK(by_default.expected(find(infant, "unlikely.pulse")) == "40 to 300/min");
}

TEST_CASE("worked-out numbers, no finer than people chart them") {
    vital_set set = pressure(130, 70);
    set.mean_pressure = 110.0 * mmHg;
    CHECK(by_default.expected(find(with(set), "pressure.mean_formula_captured")) ==
          "about 90 mmHg");
    vital_set warm;
    warm.temperature = 98.6 * degC;
    CHECK(by_default.expected(find(with(warm), "unit.temperature_fahrenheit")) ==
          "if \xC2\xB0"
          "F was meant: 37 \xC2\xB0"
          "C");
    vital_set sugar;
    sugar.glucose = 5.5 * mg_per_dL;
    CHECK(by_default.expected(find(with(sugar), "unit.glucose")) ==
          "if mmol/L was meant: 99 mg/dL");
}

TEST_CASE("a value charted in another unit is told in both") {
    vital_set set;
    set.temperature = to<units::celsius>(103.1 * degF);
    set.charted.put(sign::temperature{}, charted_text("103.1 \xC2\xB0"
                                                      "F"));
    const std::string question = by_default.question(find(with(set), "clinical.temperature_high"));
    CHECK(question.find("103.1 \xC2\xB0"
                        "F (39.5 \xC2\xB0"
                        "C)") != std::string::npos);
}

TEST_CASE("a text of one's own is filled in and an unknown name stays") {
    const finding f = find(with(pressure(72, 118)), "pressure.order");
    CHECK(by_default.fill(f, "{label} {systolic}, {pulse}, {nothing}") ==
          "Systolic 72 mmHg, {pulse}, {nothing}");
    CHECK(by_default.fill(f, "{charted}") == "72 mmHg");
    CHECK(by_default.fill(f, "{range}") == "{range}");
    CHECK(by_default.fill(f, "an open { stays") == "An open { stays");
    CHECK(by_default.fill(f, "").empty());
}

TEST_CASE("a text that may be a name is told by its length") {
    vital_set set;
    set.pulse = reading<sign::pulse>::unreadable();
    set.charted.put(sign::pulse{}, charted_text("Example"));
    const finding f = find(with(set), "unreadable.pulse");
    CHECK(by_default.question(f).find("Example") == std::string::npos);
    CHECK(by_default.question(f).find("text of 7 characters") != std::string::npos);
}

// The one check no text file can reach; every other text is held whole in fixtures.cpp.
TEST_CASE("the texts of a level that is none are whole") {
    vital_set set;
    set.responsiveness = value_of<sign::responsiveness>::from_value(5);
    const finding f = find(with(set), "impossible.responsiveness");
    for (const std::string& text :
         {by_default.title(f), by_default.question(f), by_default.expected(f)}) {
        INFO(text);
        CHECK(text.find('{') == std::string::npos);
    }
}

// A finding about a rate says the rate, also where it is the ECG's.
TEST_CASE("a slow or fast ECG rate without a pulse is told as a number") {
    vital_set slow;
    slow.ecg_rate = 38.0 * per_minute;
    vital_set fast;
    fast.ecg_rate = 180.0 * per_minute;
    CHECK(by_default.question(find(with(slow), "clinical.pulse_low")).find("38/min") !=
          std::string::npos);
    CHECK(by_default.question(find(with(fast), "clinical.pulse_high")).find("180/min") !=
          std::string::npos);
}
