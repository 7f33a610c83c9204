// Fingerprints: what the same chart keeps from one audit to the next, and what makes it another.
#include "random_sets.hpp"
#include <vitalproof/examine.hpp>
#include <vitalproof/fingerprint.hpp>

#include <catch2/catch.hpp>

#include <chrono>
#include <map>
#include <set>

using namespace vitalproof;

namespace {

using std::chrono::minutes;

set_time at(long seconds, std::optional<minutes> offset = {}) {
    return {std::chrono::local_seconds{std::chrono::seconds{seconds}}, offset};
}

care_report swapped_pressure() {
    care_report report;
    report.id = "incident 7";
    report.sets.resize(1);
    report.sets[0].taken_at = at(1000);
    report.sets[0].systolic = 72.0 * mmHg;
    report.sets[0].diastolic = 118.0 * mmHg;
    return report;
}

finding order_of(const care_report& report, const limits& in_force = {}) {
    for (const finding& f : examine(report, in_force)) {
        if (f.info().code == "pressure.order") {
            return f;
        }
    }
    FAIL("pressure.order did not fire");
    return {};
}

std::string print_of(const care_report& report, const limits& in_force = {}) {
    return fingerprint(order_of(report, in_force));
}

finding fever(reading<sign::temperature> charted, const charted_text& as = {}) {
    care_report report;
    report.id = "a";
    report.sets.resize(1);
    report.sets[0].temperature = charted;
    report.sets[0].charted.put(sign::temperature{}, as);
    for (const finding& f : examine(report)) {
        if (f.info().code == "clinical.temperature_high") {
            return f;
        }
    }
    FAIL("clinical.temperature_high did not fire");
    return {};
}

}  // namespace

TEST_CASE("twenty hexadecimal digits") {
    const std::string print = print_of(swapped_pressure());
    CHECK(print.size() == 20);
    CHECK(print.find_first_not_of("0123456789abcdef") == std::string::npos);
}

TEST_CASE("kept: the place in a file, the crew, limits, facts, other readings") {
    const std::string before = print_of(swapped_pressure());
    care_report report = swapped_pressure();
    report.sets[0].line = 77;
    report.crew = "medic 3";
    report.known.state(fact::oxygen, true);
    report.sets[0].glucose = 95.0 * mg_per_dL;
    report.sets[0].systolic.set_method(method::cuff_machine);
    CHECK(print_of(report) == before);

    limits stricter;
    stricter.signs.believable[index_of(sign_id::systolic)].low = 80;
    stricter.of<checks::pressure_narrow>().under = real{20} * mmHg;
    CHECK(print_of(report, stricter) == before);
}

TEST_CASE("kept: a set's place in its report, where it has a time") {
    care_report report = swapped_pressure();
    const std::string before = print_of(report);
    report.sets.insert(report.sets.begin(), vital_set{});
    report.sets[0].taken_at = at(10);
    CHECK(order_of(report).set == 2);
    CHECK(print_of(report) == before);
}

TEST_CASE("kept: the unit and the text in which a value was charted") {
    reading<sign::temperature> celsius = 39.5 * degC;
    reading<sign::temperature> fahrenheit = to<units::celsius>(103.1 * degF);
    const charted_text as(
        "103.1 \xC2\xB0"
        "F");
    CHECK(fingerprint(fever(celsius)) == fingerprint(fever(fahrenheit, as)));
    CHECK(fingerprint(fever(celsius)) != fingerprint(fever(39.6 * degC)));
}

TEST_CASE("kept: one instant, whatever its offset") {
    care_report report = swapped_pressure();
    report.sets[0].taken_at = at(7200, minutes{120});
    const std::string east = print_of(report);
    report.sets[0].taken_at = at(0, minutes{0});
    CHECK(print_of(report) == east);
    report.sets[0].taken_at = at(7200, minutes{0});
    CHECK(print_of(report) != east);
}

TEST_CASE("changed: value, time, report, state, set without a time") {
    std::set<std::string> prints{print_of(swapped_pressure())};
    const auto is_new = [&](const care_report& report) {
        return prints.insert(print_of(report)).second;
    };
    care_report report = swapped_pressure();
    report.sets[0].systolic = 73.0 * mmHg;
    CHECK(is_new(report));
    report = swapped_pressure();
    report.sets[0].taken_at = at(1060);
    CHECK(is_new(report));
    report = swapped_pressure();
    report.id = "incident 8";
    CHECK(is_new(report));
    report = swapped_pressure();
    report.sets[0].taken_at.reset();
    CHECK(is_new(report));
    report.sets.insert(report.sets.begin(), vital_set{});
    CHECK(is_new(report));
}

TEST_CASE("changed: the check, of one set") {
    const auto found = examine(swapped_pressure());
    REQUIRE(found.size() >= 2);
    std::set<std::string> prints;
    for (const finding& f : found) {
        CHECK(prints.insert(fingerprint(f)).second);
    }
}

TEST_CASE("no two findings of many random reports share one") {
    const auto made = testing::random_rows(41, 5000);
    std::map<std::string, std::string> seen;
    for (care_report report : made.reports) {
        // Two sets of one report may be charted for one time; what is found of both is one thing to
        // decide. Here each has a time of its own.
        std::chrono::seconds later{0};
        for (vital_set& set : report.sets) {
            if (set.taken_at) {
                set.taken_at->local += ++later;
            }
        }
        for (const finding& f : examine(report)) {
            const std::string what =
                f.report + '/' + std::to_string(f.set) + '/' + std::string(f.info().code);
            const auto [known, is_new] = seen.try_emplace(fingerprint(f), what);
            INFO(known->second << " and " << what);
            CHECK(is_new);
        }
    }
    CHECK(seen.size() > 5000);
}
