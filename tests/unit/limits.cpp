// Limits as a list: every figure of the tables and of every check is there, and is the one in
// force.
#include "random_sets.hpp"
#include <vitalproof/limit_entries.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>

using namespace vitalproof;

namespace {

std::size_t own_limit_count() {
    std::size_t count = 0;
    for_each_check(catalogue{},
                   [&]<class C>() { count += std::tuple_size_v<decltype(C::limits::fields())>; });
    return count;
}

real* find(std::vector<limit_entry>& entries, std::string_view table, std::string_view name) {
    for (limit_entry& entry : entries) {
        if (entry.table == table && entry.name == name) {
            return entry.value;
        }
    }
    FAIL("no limit " << table << " " << name);
    return nullptr;
}

bool fires(std::string_view code, const vital_set& set, const limits& in_force,
           const facts& known = {}) {
    care_report report;
    report.sets = {set};
    report.known = known;
    return std::ranges::any_of(examine(report, in_force),
                               [&](const finding& f) { return f.info().code == code; });
}

vital_set pressure(double systolic, double diastolic) {
    vital_set set;
    set.systolic = systolic * mmHg;
    set.diastolic = diastolic * mmHg;
    return set;
}

}  // namespace

TEST_CASE("every figure is listed once, with unit and source") {
    limits in_force;
    const auto entries = list_limits(in_force);
    std::set<std::pair<std::string, std::string>> names;
    std::set<const real*> places;
    for (const limit_entry& entry : entries) {
        INFO(entry.table << " " << entry.name);
        CHECK(names.emplace(entry.table, entry.name).second);
        CHECK(places.insert(entry.value).second);
        CHECK(!entry.unit.empty());
        CHECK(!entry.source.empty());
        CHECK(std::isfinite(*entry.value));
    }
}

TEST_CASE("every own limit of every check is listed") {
    limits in_force;
    const auto entries = list_limits(in_force);
    std::size_t own = 0;
    for (const limit_entry& entry : entries) {
        const bool without_check =
            entry.table.starts_with("usual.") || entry.table.starts_with("explain.");
        const bool of_a_table = entry.table.starts_with("impossible.") ||
                                entry.table.starts_with("unlikely.") || without_check;
        own += of_a_table ? 0U : 1U;
        CHECK((find_check(entry.table).has_value() || without_check));
    }
    CHECK(own == own_limit_count());
    CHECK(own > 0);
}

TEST_CASE("every table of a sign with a unit is listed") {
    limits in_force;
    auto entries = list_limits(in_force);
    for (const sign_info& sign : sign_table) {
        if (sign.unit.empty()) {
            continue;  // four levels, nothing to set
        }
        const std::string name(sign.name);
        const std::size_t at = index_of(sign.id);
        INFO(name);
        CHECK(find(entries, "impossible." + name, "low") == &in_force.signs.possible[at].low);
        CHECK(find(entries, "impossible." + name, "high") == &in_force.signs.possible[at].high);
        CHECK(find(entries, "usual." + name, "low") == &in_force.signs.usual[at].low);
        CHECK(find(entries, "usual." + name, "high") == &in_force.signs.usual[at].high);
        if (find_check("unlikely." + name)) {
            CHECK(find(entries, "unlikely." + name, "low") == &in_force.signs.believable[at].low);
            CHECK(find(entries, "unlikely." + name, "high") == &in_force.signs.believable[at].high);
        }
    }
    for (std::size_t i = 0; i < believable_exceptions.size(); ++i) {
        const auto& [sign, when] = believable_exceptions[i];
        const std::string table = "unlikely." + std::string(describe(sign).name);
        const std::string fact(fact_names[static_cast<std::size_t>(when)]);
        CHECK(find(entries, table, "low_when_" + fact) == &in_force.signs.believable_when[i].low);
        CHECK(find(entries, table, "high_when_" + fact) == &in_force.signs.believable_when[i].high);
    }
}

TEST_CASE("a limit set through the list is in force: a table") {
    limits in_force;
    auto entries = list_limits(in_force);
    CHECK(!fires("impossible.systolic", pressure(295, 80), in_force));
    *find(entries, "impossible.systolic", "high") = 290;
    CHECK(fires("impossible.systolic", pressure(295, 80), in_force));
    CHECK(!fires("unlikely.systolic", pressure(45, 30), in_force));
    *find(entries, "unlikely.systolic", "low") = 50;
    CHECK(fires("unlikely.systolic", pressure(45, 30), in_force));
}

TEST_CASE("a limit set through the list is in force: an exception") {
    limits in_force;
    auto entries = list_limits(in_force);
    vital_set cold;
    cold.temperature = 15.0 * degC;
    const facts exposed = facts{}.state(fact::exposure, true);
    CHECK(!fires("unlikely.temperature", cold, in_force, exposed));
    *find(entries, "unlikely.temperature", "low_when_exposure") = 20;
    CHECK(fires("unlikely.temperature", cold, in_force, exposed));
}

TEST_CASE("a limit set through the list is in force: a check's own") {
    limits in_force;
    auto entries = list_limits(in_force);
    CHECK(!fires("pressure.narrow", pressure(100, 85), in_force));
    *find(entries, "pressure.narrow", "under") = 20;
    CHECK(in_force.of<checks::pressure_narrow>().under.value() == 20);
    CHECK(fires("pressure.narrow", pressure(100, 85), in_force));
}

// Every own limit and every range matters: moved far down and far up, some row fires differently.
TEST_CASE("each figure changes what fires") {
    const auto made = testing::random_rows(52, 40000, true);
    const auto columns = testing::columns_of(made);
    const auto before = flag_rows(columns).fired;
    limits moved;
    auto entries = list_limits(moved);
    for (limit_entry& entry : entries) {
        const auto check = find_check(entry.table);
        if (!check || check_of_report[*check]) {
            continue;  // a reference for the reader, or asked of whole reports: see below
        }
        INFO(entry.table << " " << entry.name);
        const real kept = *entry.value;
        bool differs = false;
        for (const real by : {-0.5F, 0.5F, 3.0F}) {
            *entry.value = kept + by * std::max(std::abs(kept), 10.0F);
            differs = differs || flag_rows(columns, moved).fired != before;
        }
        *entry.value = kept;
        CHECK(differs);
    }
    CHECK(flag_rows(columns, moved).fired == before);
}

TEST_CASE("limits of checks of whole reports are in force") {
    limits in_force;
    auto entries = list_limits(in_force);
    vital_set tubed;
    tubed.known.state(fact::airway_tube, true);
    tubed.exhaled_co2 = 8.0 * mmHg;
    CHECK(!fires("tube.without_co2", tubed, in_force));
    *find(entries, "tube.without_co2", "reached") = 9;
    CHECK(fires("tube.without_co2", tubed, in_force));

    care_report refused;
    refused.call.emplace().ended = disposition::refused;
    refused.sets.emplace_back().saturation = 91.0 * percent;
    const auto asks = [&] {
        return std::ranges::any_of(examine(refused, in_force), [](const finding& f) {
            return f.info().code == "ending.abnormal_refusal";
        });
    };
    CHECK(!asks());
    *find(entries, "ending.abnormal_refusal", "saturation_under") = 92;
    CHECK(asks());
}

TEST_CASE("limits are copied, not shared") {
    limits first;
    limits second = first;
    *find(*std::make_unique<std::vector<limit_entry>>(list_limits(second)), "pressure.narrow",
          "under") = 20;
    CHECK(first.of<checks::pressure_narrow>().under.value() == 10);
    CHECK(second.of<checks::pressure_narrow>().under.value() == 20);
}
