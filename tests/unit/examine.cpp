// The record path: order, blocks, what a finding carries, what is turned off.
#include "random_sets.hpp"
#include <vitalproof/fingerprint.hpp>

#include <catch2/catch.hpp>

#include <algorithm>

using namespace vitalproof;

namespace {

std::vector<std::string> codes_of(const std::vector<finding>& findings) {
    std::vector<std::string> codes;
    codes.reserve(findings.size());
    for (const finding& f : findings) {
        codes.emplace_back(f.info().code);
    }
    return codes;
}

bool has(const std::vector<finding>& findings, std::string_view code) {
    return std::ranges::any_of(findings, [&](const finding& f) { return f.info().code == code; });
}

vital_set pressure(double systolic, double diastolic) {
    vital_set set;
    set.systolic = systolic * mmHg;
    set.diastolic = diastolic * mmHg;
    return set;
}

care_report report_of(std::string id, std::vector<vital_set> sets) {
    care_report report;
    report.id = std::move(id);
    report.sets = std::move(sets);
    return report;
}

// A line for everything a finding holds, so that two runs can be compared whole.
std::string line_of(const finding& f) {
    std::string line = f.report + '/' + f.crew + '/' + std::to_string(f.set) + '/' +
                       std::to_string(f.line) + '/' + std::string(f.info().code) + '/' +
                       std::to_string(f.known.yes_bits()) + '/' + fingerprint(f);
    for (const auto& r : f.evidence.readings()) {
        line += ' ' + std::string(describe(r.sign).name) + '=' + std::to_string(r.value);
    }
    for (const auto& n : f.evidence.numbers()) {
        line += ' ' + std::string(n.name) + '=' + std::to_string(n.value);
    }
    return line;
}

template <class Reports>
std::vector<std::string> lines_together(const Reports& reports) {
    std::vector<std::string> lines;
    const auto keep = [&](std::span<const finding> of_set) {
        for (const finding& f : of_set) {
            lines.push_back(line_of(f));
        }
    };
    examiner all;
    for (care_report report : reports) {
        all.add(report, keep);
    }
    all.finish(keep);
    return lines;
}

}  // namespace

TEST_CASE("findings of a set stand in the order of the catalogue") {
    vital_set set = pressure(310, 320);
    set.temperature = 98.6 * degC;
    set.pulse = 400.0 * per_minute;
    const auto found = examine(report_of("a", {set}));
    REQUIRE(found.size() >= 5);
    CHECK(std::ranges::is_sorted(found, {}, &finding::check));
    CHECK(codes_of(found).front() == "impossible.systolic");
}

TEST_CASE("findings stand in the order of reports, then sets") {
    const std::vector reports{
        report_of("b", {pressure(80, 90), pressure(120, 80), pressure(70, 90)}),
        report_of("a", {pressure(120, 80), pressure(60, 60)})};
    std::vector<std::string> seen;
    const auto note = [&](std::span<const finding> of_set) {
        seen.push_back(of_set.front().report + std::to_string(of_set.front().set));
    };
    examiner all;
    for (care_report report : reports) {
        all.add(report, note);
    }
    all.finish(note);
    CHECK(seen == std::vector<std::string>{"b1", "b3", "a2"});
}

TEST_CASE("a finding carries its set's place, time, crew and what was known") {
    care_report report = report_of("incident 7", {pressure(120, 80), pressure(72, 118)});
    report.crew = "medic 3";
    report.known.state(fact::arrest, true);
    report.sets[1].line = 19;
    report.sets[1].taken_at = set_time{std::chrono::local_seconds{std::chrono::seconds{86400}}, {}};
    const auto found = examine(report);
    const auto order = std::ranges::find(found, std::string_view("pressure.order"),
                                         [](const finding& f) { return f.info().code; });
    REQUIRE(order != found.end());
    CHECK(order->report == "incident 7");
    CHECK(order->crew == "medic 3");
    CHECK(order->set == 2);
    CHECK(order->line == 19);
    CHECK(order->taken_at == report.sets[1].taken_at);
    CHECK(order->known.is(fact::arrest));
    REQUIRE(order->evidence.readings().size() == 2);
    CHECK(order->evidence.readings()[0].sign == sign_id::systolic);
    CHECK(order->evidence.readings()[0].value == 72);
    CHECK(order->evidence.readings()[1].value == 118);
}

TEST_CASE("what a set says outranks its report") {
    vital_set pulseless;
    pulseless.pulse = 0.0 * per_minute;
    care_report report = report_of("a", {pulseless});
    CHECK(has(examine(report), "zero.pulse"));
    report.known.state(fact::arrest, true);
    CHECK(!has(examine(report), "zero.pulse"));
    report.sets[0].known.state(fact::arrest, false);
    CHECK(has(examine(report), "zero.pulse"));
}

TEST_CASE("an age reaches every set of its report, and no other report") {
    vital_set fast;
    fast.respiratory_rate = 45.0 * per_minute;
    care_report infant = report_of("infant", {fast, fast});
    infant.age = age_in_years(0.1);
    const care_report adult = report_of("adult", {fast});
    const auto lines = lines_together(std::vector{infant, adult, infant});
    REQUIRE(lines.size() == 1);
    CHECK(lines[0].starts_with("adult//1/0/clinical.breathing_high"));
}

TEST_CASE("reports one at a time or together give the same") {
    const auto made = testing::random_rows(31, 3000);
    std::vector<std::string> one_by_one;
    for (const care_report& report : made.reports) {
        for (const finding& f : examine(report)) {
            one_by_one.push_back(line_of(f));
        }
    }
    CHECK(one_by_one.size() > 3000);
    CHECK(lines_together(made.reports) == one_by_one);
}

TEST_CASE("a report of a thousand sets crosses blocks") {
    care_report report = report_of("long", {});
    for (std::size_t i = 1; i <= 1000; ++i) {
        const bool swapped = i % 100 == 0 || i == 1 || i == 256 || i == 257;
        report.sets.push_back(swapped ? pressure(80, 120) : pressure(120, 80));
        report.sets.back().line = i;
    }
    std::vector<std::size_t> sets;
    for (const finding& f : examine(report)) {
        if (f.info().code == "pressure.order") {
            CHECK(f.line == f.set);
            sets.push_back(f.set);
        }
    }
    CHECK(sets ==
          std::vector<std::size_t>{1, 100, 200, 256, 257, 300, 400, 500, 600, 700, 800, 900, 1000});
}

TEST_CASE("a report whose last set fills a block, and an empty one") {
    const std::size_t size = GENERATE(255U, 256U, 257U, 512U);
    care_report full = report_of("full", std::vector(size, pressure(80, 120)));
    const std::vector reports{report_of("empty", {}), full,
                              report_of("after", {pressure(80, 120)})};
    std::size_t of_full = 0;
    std::size_t of_after = 0;
    for (const std::string& line : lines_together(reports)) {
        of_full += line.starts_with("full/") && line.find("pressure.order") != std::string::npos;
        of_after += line.starts_with("after/") && line.find("pressure.order") != std::string::npos;
    }
    CHECK(of_full == size);
    CHECK(of_after == 1);
}

TEST_CASE("an examiner goes on after finish") {
    std::vector<std::string> lines;
    const auto keep = [&](std::span<const finding> of_set) { lines.push_back(of_set[0].report); };
    examiner one;
    for (const char* id : {"a", "b"}) {
        care_report report = report_of(id, {pressure(80, 120)});
        one.add(report, keep);
        one.finish(keep);
    }
    one.finish(keep);
    CHECK(lines == std::vector<std::string>{"a", "b"});
}

// What a stream of millions needs: a report's buffers come back, however blocks and reports fall.
// One set, then pairs: no block ever ends with a report.
TEST_CASE("buffers come back although no block ends with a report") {
    const auto ignore = [](std::span<const finding>) {};
    examiner all;
    care_report report = report_of("first", {pressure(120, 80)});
    all.add(report, ignore);
    std::size_t empty_handed = 0;
    for (std::size_t i = 0; i < 20000; ++i) {
        report.id = "pair";
        report.sets.assign(2, pressure(120, 80));
        all.add(report, ignore);
        empty_handed += i > 1000 && report.sets.capacity() == 0 ? 1U : 0U;
    }
    CHECK(empty_handed == 0);
}

TEST_CASE("a report that is lent gives the same, and stays as it is") {
    const auto made = testing::random_rows(37, 3000);
    const std::size_t lent_of = GENERATE(1U, 3U);  // all, or every third
    std::vector<std::string> lines;
    const auto keep = [&](std::span<const finding> of_set, const care_report& of_report) {
        for (const finding& f : of_set) {
            CHECK(f.report == of_report.id);
            lines.push_back(line_of(f));
        }
    };
    std::vector<care_report> reports(made.reports.begin(), made.reports.end());
    examiner all;
    for (std::size_t i = 0; i < reports.size(); ++i) {
        if (i % lent_of == 0) {
            put_in_order(reports[i]);
            const std::size_t sets = reports[i].sets.size();
            all.add_lent(reports[i], keep);
            CHECK(reports[i].sets.size() == sets);
        } else {
            care_report given = reports[i];
            all.add(given, keep);
        }
    }
    all.finish(keep);
    CHECK(lines == lines_together(made.reports));
}

TEST_CASE("a kind that is turned off is silent, the others are not") {
    vital_set set = pressure(300.5, 80);
    set.pulse = 150.0 * per_minute;
    const care_report report = report_of("a", {set});
    CHECK(has(examine(report), "clinical.pulse_high"));
    limits without;
    without.turn_off(kind::clinical);
    const auto found = examine(report, without);
    CHECK(!found.empty());
    CHECK(std::ranges::none_of(found,
                               [](const finding& f) { return f.info().kind == kind::clinical; }));
    CHECK(has(found, "impossible.systolic"));
}

TEST_CASE("each check can be turned off alone, and on again") {
    const auto made = testing::random_rows(5, 2000);
    const std::size_t check = GENERATE(range(std::size_t{0}, check_count, std::size_t{7}));
    const auto all_on = flag_rows(testing::columns_of(made));
    limits in_force;
    in_force.turn(check, false);
    CHECK(!in_force.is_on(check));
    const auto one_off = flag_rows(testing::columns_of(made), in_force);
    for (std::size_t other = 0; other < check_count; ++other) {
        const bool same = one_off.fired[other] == all_on.fired[other];
        const bool none =
            std::ranges::all_of(one_off.fired[other], [](flag_word w) { return w == 0; });
        CHECK((other == check ? none : same));
    }
    in_force.turn(check, true);
    CHECK(flag_rows(testing::columns_of(made), in_force).fired[check] == all_on.fired[check]);
}

TEST_CASE("a level of responsiveness outside its codes, which only a program can make") {
    vital_set set;
    set.responsiveness = value_of<sign::responsiveness>::from_value(5);
    CHECK(codes_of(examine(report_of("a", {set}))) ==
          std::vector<std::string>{"impossible.responsiveness"});
    set.responsiveness = value_of<sign::responsiveness>::from_value(0);
    CHECK(has(examine(report_of("a", {set})), "impossible.responsiveness"));
    for (const auto level : {responsiveness_level::alert, responsiveness_level::verbal,
                             responsiveness_level::painful, responsiveness_level::unresponsive}) {
        set.responsiveness = responsiveness_reading(level);
        CHECK(!has(examine(report_of("a", {set})), "impossible.responsiveness"));
    }
}
