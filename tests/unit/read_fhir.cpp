// FHIR resources into reports: each sign of the vital-signs profile, units, absences, comparators,
// methods, grouping into sets and reports, and what is refused.
#include "read/fhir.hpp"
#include "read_support.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

namespace {

using namespace reading;

// A file of resources one a line, read.
struct fhir {
    explicit fhir(std::string_view text, const read::delimited_options& options = {},
                  const read::json_bounds& bounds = {}) {
        read::memory_source source(text);
        outcome = read::read_fhir(source, "week.ndjson", options, kept, bounds);
    }

    const std::vector<care_report>& reports() const { return kept.reports; }
    const vital_set& only_set() const {
        REQUIRE(kept.reports.size() == 1);
        REQUIRE(kept.reports[0].sets.size() == 1);
        return kept.reports[0].sets[0];
    }
    std::string error() const { return outcome.error ? outcome.error->what : ""; }
    bool adds_up(std::uint64_t examined, std::uint64_t unread, std::uint64_t other) const {
        return outcome.rows_examined == examined && outcome.rows_unread == unread &&
               outcome.rows_other == other && outcome.rows_read == examined + unread + other &&
               kept.unread_rows.size() == unread;
    }
    bool said(std::string_view words) const {
        return std::ranges::any_of(outcome.columns.assumptions, [words](const std::string& one) {
            return one.find(words) != std::string::npos;
        });
    }

    memory_sink kept{};
    read::delimited_outcome outcome{};
};

std::string code(std::string_view loinc) {
    return R"({"coding":[{"system":"http://loinc.org","code":")" + std::string(loinc) + R"("}]})";
}

std::string measured(std::string_view value, std::string_view unit) {
    return R"("valueQuantity":{"value":)" + std::string(value) +
           R"(,"system":"http://unitsofmeasure.org","code":")" + std::string(unit) + R"("})";
}

std::string no_value(std::string_view reason) {
    return R"("dataAbsentReason":{"coding":[{"system":)"
           R"("http://terminology.hl7.org/CodeSystem/data-absent-reason","code":")" +
           std::string(reason) + R"("}]})";
}

constexpr std::string_view half_past_two = R"("effectiveDateTime":"2026-03-01T14:32:00Z")";
constexpr std::string_view of_e1 = R"("encounter":{"reference":"Encounter/e1"})";

// An Observation with `more` members, of one encounter and time unless these say otherwise.
std::string observation(std::string_view loinc, std::string_view more,
                        std::string_view belonging = of_e1, std::string_view time = half_past_two) {
    std::string text = R"({"resourceType":"Observation","status":"final","code":)" + code(loinc);
    for (const std::string_view part : {belonging, time, more}) {
        text += part.empty() ? "" : "," + std::string(part);
    }
    return text + "}\n";
}

std::string component(std::string_view loinc, std::string_view more) {
    return R"({"code":)" + code(loinc) + "," + std::string(more) + "}";
}

std::string pressure(std::string_view systolic, std::string_view diastolic,
                     std::string_view more = R"("id":"bp")") {
    return observation("85354-9", R"("component":[)" + component("8480-6", systolic) + "," +
                                      component("8462-4", diastolic) + "]," + std::string(more));
}

double held(const vital_set& set, sign_id sign) {
    double value = std::nan("");
    for_each_sign(all_signs{}, [&](auto s) {
        if (s.info.id == sign) {
            value = set[s].raw();
        }
    });
    return value;
}

}  // namespace

TEST_CASE("each sign of the profile is read by its code and unit") {
    const auto [loinc, sign, value, unit, expected] =
        GENERATE(table<const char*, sign_id, const char*, const char*, double>({
            {"8480-6", sign_id::systolic, "120", "mm[Hg]", 120.0},
            {"8480-6", sign_id::systolic, "16", "kPa", 16 / 0.133322387415},
            {"8462-4", sign_id::diastolic, "80", "mm[Hg]", 80.0},
            {"8478-0", sign_id::mean_pressure, "93", "mm[Hg]", 93.0},
            {"76214-6", sign_id::mean_pressure, "93", "mm[Hg]", 93.0},
            {"8867-4", sign_id::pulse, "72", "/min", 72.0},
            {"8867-4", sign_id::pulse, "72", "{beats}/min", 72.0},
            {"8893-0", sign_id::pulse, "71", "/min", 71.0},
            {"8889-8", sign_id::pulse, "70", "1/min", 70.0},
            {"76282-3", sign_id::ecg_rate, "69", "/min", 69.0},
            {"9279-1", sign_id::respiratory_rate, "16", "{breaths}/min", 16.0},
            {"59408-5", sign_id::saturation, "97", "%", 97.0},
            {"2708-6", sign_id::saturation, "0.97", "1", 97.0},
            {"41653-7", sign_id::glucose, "105", "mg/dL", 105.0},
            {"2339-0", sign_id::glucose, "5.4", "mmol/L", 5.4 * 18.0156},
            {"15074-8", sign_id::glucose, "6.3", "mmol/l", 6.3 * 18.0156},
            {"19891-1", sign_id::exhaled_co2, "38", "mm[Hg]", 38.0},
            {"19891-1", sign_id::exhaled_co2, "5", "kPa", 5 / 0.133322387415},
            {"8310-5", sign_id::temperature, "36.8", "Cel", 36.8},
            {"8310-5", sign_id::temperature, "98.6", "[degF]", 37.0},
            {"9267-6", sign_id::coma_eye, "4", "{score}", 4.0},
            {"9270-0", sign_id::coma_verbal, "5", "1", 5.0},
            {"9268-4", sign_id::coma_motor, "6", "{score}", 6.0},
            {"9269-2", sign_id::coma_total, "15", "{score}", 15.0},
        }));
    CAPTURE(loinc, unit);
    const fhir read(observation(loinc, measured(value, unit)));
    CHECK(held(read.only_set(), sign) == Approx(expected).epsilon(1e-9));
    CHECK(read.adds_up(1, 0, 0));
    CHECK_FALSE(read.said("assumed"));
}

TEST_CASE("a unit that is none of the sign's makes the reading unreadable, as charted") {
    const auto [loinc, value, unit, shown] =
        GENERATE(table<const char*, const char*, const char*, const char*>({
            {"8310-5", "98.6", "F", "98.6 F"},  // farad
            {"8310-5", "36.8", "C", "36.8 C"},  // coulomb
            {"8480-6", "120", "mmHg", "120 mmHg"},
            {"8867-4", "72", "mm[Hg]", "72 mmHg"},
            {"8867-4", "72", "1", "72"},
            {"15074-8", "105", "mg/dL", "105 mg/dL"},  // moles by its code
            {"8480-6", "120", "furlong", "120"},
        }));
    const fhir read(observation(loinc, measured(value, unit)));
    const vital_set& set = read.only_set();
    std::string charted;
    for_each_sign(all_signs{}, [&](auto s) {
        if (set[s].state() == reading_state::unreadable) {
            charted = set.charted[s].display();
        }
    });
    CHECK(charted == shown);
    CHECK(read.said("none of their sign's, unreadable: 1, first in resource 1"));
}

TEST_CASE("a unit by its name alone is read and said, and none at all is assumed and said") {
    const fhir named(observation("8310-5", R"("valueQuantity":{"value":98.6,"unit":"degrees F"})"));
    CHECK(named.only_set().temperature.raw() == Approx(37.0));
    CHECK(named.only_set().charted[sign::temperature{}].text() ==
          "98.6 \xC2\xB0"
          "F");
    CHECK(named.said("1 value with a unit by its name alone"));

    const fhir none(observation("8310-5", R"("valueQuantity":{"value":36.8})"));
    CHECK(none.only_set().temperature.raw() == Approx(36.8));
    CHECK(
        none.said("Unit not stated, assumed: temperature in \xC2\xB0"
                  "C"));
}

TEST_CASE("a comparator says that a value lies beyond") {
    const auto [comparator, state] = GENERATE(table<const char*, reading_state>({
        {">", reading_state::above},
        {">=", reading_state::above},
        {"<", reading_state::below},
        {"<=", reading_state::below},
        {"ad", reading_state::unreadable},
    }));
    const fhir read(observation("41653-7", R"("valueQuantity":{"value":600,"comparator":")" +
                                               std::string(comparator) +
                                               R"(","system":"http://unitsofmeasure.org",)"
                                               R"("code":"mg/dL"})"));
    CHECK(read.only_set().glucose.state() == state);
}

TEST_CASE("a reason for absence is an answer") {
    using why = absence;
    const auto [reason, expected] = GENERATE(table<const char*, why>({
        {"unknown", why::not_recorded},
        {"asked-unknown", why::not_recorded},
        {"temp-unknown", why::not_recorded},
        {"not-asked", why::not_recorded},
        {"not-performed", why::not_recorded},
        {"asked-declined", why::refused},
        {"error", why::unable},
        {"not-applicable", why::not_applicable},
        {"not-permitted", why::not_applicable},
        {"masked", why::not_carried},
        {"unsupported", why::not_carried},
        {"no-such-code", why::not_recorded},
    }));
    CAPTURE(reason);
    const fhir read(observation("8310-5", no_value(reason)));
    CHECK(read.adds_up(1, 0, 0));
    CHECK(read.only_set().temperature.state() == reading_state::absent);
    CHECK(read.only_set().temperature.why_absent() == expected);
    CHECK(read.outcome.unknown_codes.empty() == (std::string_view(reason) != "no-such-code"));
}

TEST_CASE("a value that the file holds in no form we read is unreadable, not absent") {
    const std::string_view reason =
        GENERATE("as-text", "not-a-number", "negative-infinity", "positive-infinity");
    const fhir read(observation("8310-5", no_value(reason)));
    CHECK(read.only_set().temperature.state() == reading_state::unreadable);
}

TEST_CASE("a value beside a reason why there is none is used, and said") {
    const fhir read(observation("8310-5", measured("36.8", "Cel") + "," + no_value("error")));
    CHECK(read.only_set().temperature.raw() == 36.8);
    CHECK(read.said("1 value with a reason why there is none"));
}

TEST_CASE("values of other types") {
    const auto with = [](std::string_view loinc, std::string_view value) {
        return fhir(observation(loinc, value)).only_set();
    };
    CHECK(with("9269-2", R"("valueInteger":14)").coma_total.raw() == 14);
    CHECK(with("41653-7", R"("valueString":"HI")").glucose.state() == reading_state::above);
    CHECK(with("41653-7", R"("valueString":"5.4 mmol/L")").glucose.raw() == Approx(5.4 * 18.0156));
    CHECK(with("8867-4", R"("valueString":"refused")").pulse.why_absent() == absence::refused);
    CHECK(with("8867-4", R"("valueQuantity":{"value":"NaN","code":"/min"})").pulse.state() ==
          reading_state::unreadable);
    const vital_set ratio = with("8867-4", R"("valueRatio":{"numerator":{"value":72}})");
    CHECK(ratio.pulse.state() == reading_state::unreadable);
    CHECK_FALSE(ratio.charted[sign::pulse{}].shown());
}

TEST_CASE("an Observation without value, reason or component is other") {
    CHECK(fhir(observation("8867-4", "")).adds_up(0, 0, 1));
    CHECK(fhir(observation("8867-4", R"("valueString":" ")")).adds_up(0, 0, 1));
    CHECK(fhir(observation("8867-4", R"("valueQuantity":{"code":"/min"})")).adds_up(0, 0, 1));
    CHECK(fhir(observation("85354-9", "")).adds_up(0, 0, 1));
    CHECK(fhir(observation("85354-9", "")).error().empty());
}

TEST_CASE(
    "responsiveness by LOINC's answers, SNOMED's, the national standard's, letters and words") {
    using level = responsiveness_level;
    const auto [answer, expected] = GENERATE(table<const char*, level>({
        {R"("coding":[{"system":"http://loinc.org","code":"LA9340-6"}])", level::alert},
        {R"("coding":[{"system":"http://loinc.org","code":"LA17108-4"}])", level::verbal},
        {R"("coding":[{"system":"http://loinc.org","code":"LA17107-6"}])", level::painful},
        {R"("coding":[{"system":"http://loinc.org","code":"LA9343-0"}])", level::unresponsive},
        {R"("coding":[{"system":"http://snomed.info/sct","code":"248234008"}])", level::alert},
        {R"("coding":[{"system":"http://snomed.info/sct","code":"450847001"}])", level::painful},
        {R"("coding":[{"code":"3326007"}])", level::unresponsive},
        {R"("coding":[{"system":"urn:x","code":"V"}])", level::verbal},
        {R"("coding":[{"system":"urn:x","code":"zz","display":"Painful"}])", level::painful},
        {R"("text":"unresponsive")", level::unresponsive},
    }));
    const fhir read(
        observation("67775-7", R"("valueCodeableConcept":{)" + std::string(answer) + "}"));
    CHECK(read.only_set().responsiveness.raw() == static_cast<double>(expected));
    // Confused is none of the four levels.
    const fhir other(observation("67775-7", R"("valueCodeableConcept":{"coding":[{"system":)"
                                            R"("http://loinc.org","code":"LA6560-2"}]})"));
    CHECK(other.only_set().responsiveness.state() != reading_state::number);
}

TEST_CASE("parts of the coma score by answers and ordinal values") {
    const auto part = [](std::string_view loinc, std::string_view coding) {
        return fhir(observation(loinc, R"("valueCodeableConcept":{"coding":[)" +
                                           std::string(coding) + "]}"))
            .only_set();
    };
    CHECK(part("9267-6", R"({"system":"http://loinc.org","code":"LA6556-0"})").coma_eye.raw() == 4);
    CHECK(part("9270-0", R"({"system":"http://loinc.org","code":"LA6557-8"})").coma_verbal.raw() ==
          1);
    CHECK(part("9268-4", R"({"system":"http://loinc.org","code":"LA6567-7"})").coma_motor.raw() ==
          6);
    CHECK(part("9268-4", R"({"code":"m5","extension":[{"url":)"
                         R"("http://hl7.org/fhir/StructureDefinition/ordinalValue",)"
                         R"("valueDecimal":5}]})")
              .coma_motor.raw() == 5);
    // An answer about the eyes is none about the motor response.
    CHECK(part("9268-4", R"({"system":"http://loinc.org","code":"LA6556-0"})").coma_motor.state() ==
          reading_state::unreadable);
}

TEST_CASE("a blood pressure is one resource with two readings, each with its place") {
    const fhir read(pressure(measured("120", "mm[Hg]"), measured("80", "mm[Hg]")));
    CHECK(read.only_set().systolic.raw() == 120);
    CHECK(read.only_set().diastolic.raw() == 80);
    CHECK(read.adds_up(1, 0, 0));
    const places_of_set& places = read.reports()[0].places.at(0);
    CHECK(places[index_of(sign_id::systolic)] == "resource 1, Observation/bp, component[0]");
    CHECK(places[index_of(sign_id::diastolic)] == "resource 1, Observation/bp, component[1]");
    CHECK(places[index_of(sign_id::pulse)].empty());
}

TEST_CASE(
    "half of a pressure is a blank where it has a place, and an answer where it has a reason") {
    const fhir half(observation(
        "85354-9", R"("component":[)" + component("8480-6", measured("120", "mm[Hg]")) + "]", of_e1,
        R"("effectiveDateTime":"2026-03-01")"));
    CHECK(half.only_set().diastolic.why_absent() == absence::blank);

    const fhir reason(pressure(measured("120", "mm[Hg]"), no_value("not-performed")));
    CHECK(reason.only_set().diastolic.why_absent() == absence::not_recorded);

    const fhir alone(observation("8480-6", measured("120", "mm[Hg]")));
    CHECK(alone.only_set().diastolic.why_absent() == absence::blank);

    // The other half may be another Observation of that day.
    const fhir day(observation("8480-6", measured("120", "mm[Hg]"), of_e1,
                               R"("effectiveDateTime":"2026-03-01")"));
    CHECK(day.only_set().diastolic.why_absent() == absence::not_carried);

    const fhir panel(observation("85354-9", no_value("asked-declined")));
    CHECK(panel.only_set().systolic.why_absent() == absence::refused);
    CHECK(panel.only_set().diastolic.why_absent() == absence::refused);
}

TEST_CASE("methods, by codes and words") {
    const auto pulse = [](std::string_view loinc, std::string_view more) {
        return fhir(observation(loinc, measured("72", "/min") + std::string(more))).only_set();
    };
    CHECK(pulse("8893-0", "").pulse.how() == method::felt);
    CHECK(pulse("8889-8", "").pulse.how() == method::by_oximeter);
    CHECK(pulse("8867-4", "").pulse.how() == method::unknown);
    CHECK(pulse("8867-4", R"(,"method":{"text":"oximeter"})").pulse.how() == method::by_oximeter);
    CHECK(pulse("8867-4", R"(,"method":{"text":"ECG"})").ecg_rate.raw() == 72);
    CHECK(pulse("8867-4", R"(,"method":{"text":"ECG"})").pulse.why_absent() ==
          absence::not_carried);
    const auto how = [](std::string_view given) {
        return fhir(pressure(measured("110", "mm[Hg]"), no_value("not-applicable"),
                             R"("method":)" + std::string(given)))
            .only_set()
            .systolic.how();
    };
    CHECK(how(R"({"coding":[{"system":"http://snomed.info/sct","code":"113011001"}]})") ==
          method::palpated);
    CHECK(how(R"({"coding":[{"system":"http://snomed.info/sct","code":"37931006"}]})") ==
          method::cuff_by_ear);
    CHECK(how(R"({"coding":[{"display":"Doppler"}]})") == method::doppler);
    CHECK(how(R"({"text":"something new"})") == method::unknown);
    CHECK(fhir(observation("76215-3", measured("110", "mm[Hg]"))).only_set().systolic.how() ==
          method::arterial);
}

TEST_CASE("several codings of one concept") {
    const auto coded = [](std::string_view codings) {
        return fhir(R"({"resourceType":"Observation","code":{"coding":[)" + std::string(codings) +
                    "]}," + std::string(half_past_two) + "," + measured("72", "/min") + "}");
    };
    // Codes of other systems beside one of ours are no unknown codes.
    const fhir local = coded(R"({"system":"urn:local","code":"HR"},)"
                             R"({"system":"http://loinc.org","code":"8867-4"})");
    CHECK(local.only_set().pulse.raw() == 72);
    CHECK(local.outcome.unknown_codes.empty());
    const fhir closer = coded(R"({"system":"http://loinc.org","code":"8867-4"},)"
                              R"({"system":"http://loinc.org","code":"76282-3"})");
    CHECK(closer.only_set().ecg_rate.raw() == 72);
    const fhir both = coded(R"({"system":"http://loinc.org","code":"8867-4"},)"
                            R"({"system":"http://loinc.org","code":"9279-1"})");
    CHECK(both.adds_up(0, 1, 0));
    CHECK(both.kept.unread_rows[0].reason.find("two vital signs") != std::string::npos);
    // A code counts in its system alone.
    CHECK(coded(R"({"system":"urn:local","code":"8867-4"})").adds_up(0, 0, 1));
}

TEST_CASE("readings of one time are one set, whatever lies between, and sets come in their order") {
    const std::string later = R"("effectiveDateTime":"2026-03-01T14:40:00Z")";
    const std::string elsewhere = R"("encounter":{"reference":"Encounter/e2"})";
    const std::string same_instant = R"("effectiveInstant":"2026-03-01T15:32:00.250+01:00")";
    const std::string period =
        R"("effectivePeriod":{"start":"2026-03-01T14:32:00Z","end":"2026-03-01T14:40:00Z"})";
    const fhir read(observation("8867-4", measured("80", "/min"), of_e1, later) +
                    pressure(measured("120", "mm[Hg]"), measured("80", "mm[Hg]")) +
                    observation("8867-4", measured("99", "/min"), elsewhere) +
                    observation("8867-4", measured("72", "/min"), of_e1, same_instant) +
                    observation("9279-1", measured("16", "/min"), of_e1, period));
    REQUIRE(read.reports().size() == 2);
    const care_report& first = read.reports()[0];
    CHECK(first.id == "e1");
    CHECK(read.reports()[1].id == "e2");
    REQUIRE(first.sets.size() == 2);
    CHECK(first.sets[0].systolic.raw() == 120);
    CHECK(first.sets[0].pulse.raw() == 72);
    CHECK(first.sets[0].respiratory_rate.raw() == 16);
    CHECK(first.sets[0].line == 2);
    CHECK(first.sets[1].pulse.raw() == 80);
    CHECK(first.sets[1].line == 1);
    CHECK(first.places[0][index_of(sign_id::pulse)] == "resource 4");
    CHECK(read.kept.first_lines == std::vector<std::uint64_t>{1, 3});
}

TEST_CASE("Observations of one sign and time begin another set") {
    const fhir read(observation("8893-0", measured("72", "/min")) +
                    observation("9279-1", measured("16", "/min")) +
                    observation("8893-0", measured("74", "/min")));
    REQUIRE(read.reports()[0].sets.size() == 2);
    CHECK(read.reports()[0].sets[0].pulse.raw() == 72);
    CHECK(read.reports()[0].sets[0].respiratory_rate.raw() == 16);
    CHECK(read.reports()[0].sets[1].pulse.raw() == 74);
}

TEST_CASE("without a time of day each Observation is a set, behind those with one") {
    const std::string day =
        GENERATE(R"("effectiveDateTime":"2026-03-01")", R"("effectiveDateTime":"2026-03")", "",
                 R"("effectiveDateTime":"tomorrow")",
                 R"("effectiveTiming":{"event":["2026-03-01T14:32:00Z"]})");
    const fhir read(observation("8867-4", measured("72", "/min"), of_e1, day) +
                    observation("9279-1", measured("16", "/min"), of_e1, day) +
                    observation("9279-1", measured("17", "/min")));
    REQUIRE(read.reports()[0].sets.size() == 3);
    CHECK(read.reports()[0].sets[0].respiratory_rate.raw() == 17);
    CHECK(read.reports()[0].sets[1].pulse.raw() == 72);
    CHECK_FALSE(read.reports()[0].sets[2].taken_at);
    CHECK(read.kept.notes.size() == (day.empty() ? 0 : 2));
    const auto& outcome = read.outcome;
    CHECK(outcome.dates_without_time.count + outcome.unreadable_times.count ==
          read.kept.notes.size());
}

TEST_CASE("a heart rate of no method is the ECG's beside a pulse, else the pulse") {
    const fhir beside(observation("8867-4", measured("80", "/min")) +
                      observation("8893-0", measured("72", "/min")));
    CHECK(beside.only_set().ecg_rate.raw() == 80);
    CHECK(beside.only_set().pulse.raw() == 72);
    CHECK(beside.said("read as the ECG rate"));
    const fhir alone(observation("8867-4", measured("80", "/min")));
    CHECK(alone.only_set().pulse.raw() == 80);
    CHECK(alone.said("read as a pulse"));
}

TEST_CASE("the encounter, however it is referred to, and never the patient") {
    const auto [belonging, expected] = GENERATE(table<const char*, const char*>({
        {R"("encounter":{"reference":"Encounter/26-1"})", "26-1"},
        {R"("encounter":{"reference":"https://server/fhir/Encounter/26-1/_history/3"})", "26-1"},
        {R"("encounter":{"reference":"urn:uuid:0d0c"})", "urn:uuid:0d0c"},
        {R"("encounter":{"identifier":{"value":"PCR 7"}})", "PCR 7"},
        {R"("encounter":{"reference":"Patient/mary"},"id":"o1")", "Observation/o1"},
        {R"("encounter":{"reference":"#e"},"id":"o1")", "Observation/o1"},
        {R"("subject":{"reference":"Patient/mary"},"id":"o1")", "Observation/o1"},
        {R"("subject":{"reference":"Patient/mary"},"id":"Mary Miller")", "resource 1"},
        {"", "resource 1"},
    }));
    const fhir read(observation("8867-4", measured("72", "/min"), belonging));
    CHECK(read.reports().at(0).id == expected);
    CHECK(read.reports().at(0).crew.empty());
}

TEST_CASE("without an encounter, what one subject had at one time is a report") {
    const std::string mary = R"("subject":{"reference":"Patient/mary"})";
    const std::string also_mary = R"("subject":{"reference":"http://server/Patient/mary"})";
    const std::string john = R"("subject":{"reference":"Patient/john"})";
    const std::string later = R"("effectiveDateTime":"2026-03-01T14:40:00Z")";
    const fhir read(observation("8867-4", measured("72", "/min"), mary + R"(,"id":"a")") +
                    observation("8867-4", measured("73", "/min"), john + R"(,"id":"b")") +
                    observation("9279-1", measured("16", "/min"), also_mary + R"(,"id":"c")") +
                    observation("9279-1", measured("17", "/min"), mary + R"(,"id":"d")", later));
    REQUIRE(read.reports().size() == 3);
    CHECK(read.reports()[0].id == "Observation/a");
    CHECK(read.reports()[0].sets.at(0).respiratory_rate.raw() == 16);
    CHECK(read.reports()[1].id == "Observation/b");
    CHECK(read.reports()[2].id == "Observation/d");
    CHECK(read.said("4 Observations without an encounter"));
}

TEST_CASE("an age comes from a Patient that stands before, and one report has one") {
    const std::string patient =
        R"({"resourceType":"Patient","id":"p","birthDate":"2024-03-01","name":[{"family":"M"}]})"
        "\n";
    const std::string of_p = std::string(of_e1) + R"(,"subject":{"reference":"Patient/p"})";
    const std::string pulse = observation("8867-4", measured("120", "/min"), of_p);
    const std::string next_day = observation("8867-4", measured("118", "/min"), of_p,
                                             R"("effectiveDateTime":"2026-03-02T00:10:00Z")");
    const fhir read(patient + pulse + next_day);
    REQUIRE(read.reports().size() == 1);
    CHECK(read.reports()[0].age.value().count() == Approx(730 / 365.2425));
    CHECK(read.reports()[0].sets.size() == 2);
    CHECK(read.adds_up(2, 0, 1));
    CHECK_FALSE(fhir(pulse + patient).reports()[0].age);
    CHECK_FALSE(fhir(observation("8867-4", measured("120", "/min")) + patient).reports()[0].age);
    const std::string unborn = R"({"resourceType":"Patient","id":"p","birthDate":"2030-01-01"})"
                               "\n";
    CHECK_FALSE(fhir(unborn + pulse).reports()[0].age);
    const std::string bundled =
        R"({"resourceType":"Bundle","entry":[{"fullUrl":"urn:uuid:77","resource":)" + patient +
        R"(},{"resource":)" +
        observation("8867-4", measured("120", "/min"), R"("subject":{"reference":"urn:uuid:77"})") +
        "}]}";
    CHECK(fhir(bundled).reports()[0].age.value().count() == Approx(730 / 365.2425));
}

TEST_CASE("what was withdrawn is other, and counted") {
    const std::string_view status = GENERATE("entered-in-error", "cancelled");
    std::string text = observation("8867-4", measured("72", "/min"));
    text.replace(text.find("final"), 5, status);
    const fhir read(text);
    CHECK(read.adds_up(0, 0, 1));
    CHECK(read.said("1 Observation entered in error or cancelled"));
    CHECK(read.reports().empty());
}

TEST_CASE("an extension that changes the meaning is not passed over") {
    const std::string changed = R"("modifierExtension":[{"url":"urn:x","valueBoolean":true}])";
    const fhir whole(observation("8867-4", measured("72", "/min") + "," + changed));
    CHECK(whole.adds_up(0, 1, 0));
    const fhir part(pressure(measured("120", "mm[Hg]") + "," + changed, measured("80", "mm[Hg]")));
    CHECK(part.adds_up(0, 1, 0));
}

TEST_CASE("codes that are none of ours are counted and named, within bounds") {
    std::string text;
    for (int i = 0; i < 200; ++i) {
        text += observation(std::to_string(10000 + i) + "-1", measured("1", "kg"));
    }
    text += observation("29463-7", measured("70", "kg"));
    text += observation("10000-1", measured("70", "kg"));
    text += observation("Mary Miller", measured("70", "kg"));
    const fhir read(text);
    CHECK(read.adds_up(0, 0, 203));
    CHECK(read.outcome.unknown_codes.size() == 65);
    CHECK(read.outcome.unknown_codes.front().code == "10000-1");
    CHECK(read.outcome.unknown_codes.front().count == 2);
    CHECK(read.outcome.unknown_codes.back().code == "others");
    CHECK(read.outcome.unknown_codes.back().count == 203 - 65);
    CHECK(read.said("and others"));
    const fhir name(observation("Mary Miller", measured("70", "kg")));
    CHECK(name.outcome.unknown_codes.at(0).code == "text of 11 characters");
}

TEST_CASE("other resources are counted, whatever they hold") {
    const fhir read(R"({"resourceType":"Encounter","id":"e1","n":1e999})"
                    "\n"
                    R"({"resourceType":"List","entry":[{"item":{}}]})"
                    "\n" +
                    observation("8867-4", measured("72", "/min")));
    CHECK(read.adds_up(1, 0, 2));
}

TEST_CASE("a resource that cannot be read is refused by itself") {
    const std::string good = observation("8867-4", measured("72", "/min"));
    const auto [bad, word] = GENERATE(table<std::string, const char*>({
        {observation("8867-4", measured("1e999", "/min")), "number"},
        {observation("8867-4", measured("99999999999999999999999999", "/min")), "number"},
        {observation("8867-4", measured("NaN", "/min")), "no JSON"},
        {observation("8867-4", measured("072", "/min")), "number"},
        {observation("8867-4", R"("note":[{"text":"\xZZ"}])"), "no JSON"},
        {observation("8867-4", "\"note\":[{\"text\":\"\xC3(\"}]"), "UTF-8"},
        {observation("8867-4", measured("72", "/min") + R"(,"status":"amended")"), "twice"},
        {observation("8867-4", R"("valueQuantity":{"value":72,"value":27})"), "twice"},
        {observation("8867-4", R"("x":)" + std::string(100, '[') + std::string(100, ']')),
         "nested"},
        {R"({"id":"1"})"
         "\n",
         "resourceType"},
        {observation("8867-4", R"("entry":[{"resource":1}])"), "entry"},
        {"[1,2]\n", "no JSON"},
        {R"({"resourceType":"Observation","code":)"
         "\n",
         "brackets"},
    }));
    CAPTURE(bad);
    const fhir read(good + bad + good);
    CHECK(read.adds_up(2, 1, 0));
    CHECK(read.kept.unread_rows[0].line == 2);
    CHECK(read.kept.unread_rows[0].reason.find(word) != std::string::npos);
    CHECK_FALSE(read.kept.unread_rows[0].remedy.empty());
    CHECK(read.error().empty());
}

TEST_CASE("a resource beyond the bounds is refused by itself, and other ones are other") {
    const std::string longer = R"("note":")" + std::string(1000, 'x') + '"';
    const read::json_bounds small{.longest = 500};
    const fhir read(observation("8867-4", longer) + R"({"resourceType":"Binary",)" + longer +
                        "}\n" + observation("8867-4", measured("72", "/min")),
                    {}, small);
    CHECK(read.adds_up(1, 1, 1));
    CHECK(read.kept.unread_rows[0].reason == "the resource is longer than 500 bytes");
}

TEST_CASE("Bundles within Bundles") {
    const std::string pulse = observation("8867-4", measured("72", "/min"));
    const std::string inner = R"({"resourceType":"Bundle","entry":[{"resource":)" + pulse + "}]}";
    const fhir read(R"({"resourceType":"Bundle","entry":[{"resource":)" + inner +
                    R"(},{"resource":)" + pulse + "}]}");
    CHECK(read.adds_up(2, 0, 0));
}

TEST_CASE("a file that ends inside is said to, and what stands before is read") {
    const std::string pulse = observation("8867-4", measured("72", "/min"));
    const std::string bundle = R"({"resourceType":"Bundle","entry":[{"resource":)" + pulse +
                               R"(},{"resource":)" + pulse + "}]}";
    const fhir cut(bundle.substr(0, bundle.size() - 30));
    CHECK(cut.adds_up(1, 1, 0));
    CHECK(cut.error().find("ends inside") != std::string::npos);
    const fhir between(bundle.substr(0, bundle.size() - 2));
    CHECK(between.adds_up(2, 0, 0));
    CHECK(between.error().find("ends inside") != std::string::npos);
}

TEST_CASE("JSON without an Observation is said to be that") {
    const std::string_view text =
        GENERATE("{}", R"({"resourceType":"Patient","id":"1"})", R"({"a":{"b":[1,2]}})",
                 R"({"resourceType":"Bundle","entry":[]})");
    CHECK(fhir(text).error() == "this JSON holds no FHIR Observation");
}

TEST_CASE("a time without its offset gets one from the zone that is stated") {
    read::delimited_options options;
    options.zone = read::find_time_zone("America/New_York").zone;
    REQUIRE(options.zone);
    const auto taken = [&options](std::string_view time) {
        return fhir(observation("8867-4", measured("72", "/min"), of_e1,
                                R"("effectiveDateTime":")" + std::string(time) + '"'),
                    options);
    };
    CHECK(taken("2026-03-01T14:32:00").only_set().taken_at->utc_offset ==
          std::chrono::minutes(-300));
    CHECK(taken("2026-03-01T14:32:00Z").only_set().taken_at->utc_offset == std::chrono::minutes(0));
    CHECK(taken("2026-03-08T02:30:00").outcome.unplaced_times.count == 1);  // skipped
}

TEST_CASE("a report too long to be held comes in pieces, and loses nothing") {
    std::string text;
    for (int i = 0; i < 40; ++i) {
        text += observation(
            "8867-4", measured(std::to_string(60 + i), "/min"), of_e1,
            R"("effectiveDateTime":"2026-03-01T14:)" + std::to_string(10 + i) + R"(:00Z")");
    }
    read::delimited_options options;
    options.gathering.sets = 16;
    const fhir read(text, options);
    std::size_t sets = 0;
    for (const care_report& report : read.reports()) {
        CHECK(report.id == "e1");
        CHECK(report.sets.size() == report.places.size());
        sets += report.sets.size();
    }
    CHECK(sets == 40);
    CHECK(read.adds_up(40, 0, 0));
}
