// One catalogue, two paths: records and columns of the same rows fire the same bits.
// Built twice, header-only and against the compiled library.
#include "random_sets.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

using namespace vitalproof;

namespace {

std::size_t count_bits(const std::vector<flag_word>& words) {
    std::size_t bits = 0;
    for (const flag_word word : words) {
        bits += static_cast<std::size_t>(std::popcount(word));
    }
    return bits;
}

}  // namespace

TEST_CASE("records and columns fire the same bits") {
    const std::uint64_t seed = GENERATE(1U, 2U, 3U, 4U, 5U, 6U, 7U, 8U);
    const auto rows = testing::random_rows(seed, 5000);
    const auto by_columns = flag_rows(testing::columns_of(rows));
    const auto by_records = testing::fired_by_records(rows);
    REQUIRE(by_columns.rows == rows.size());
    for (std::size_t check = 0; check < check_count; ++check) {
        INFO(check_table[check].code);
        CHECK(by_columns.fired[check] == by_records[check]);
    }
}

TEST_CASE("every length of a last block") {
    const std::size_t count = GENERATE(1U, 31U, 32U, 33U, 255U, 256U, 257U, 511U, 513U);
    const auto rows = testing::random_rows(99 + count, count);
    const auto by_columns = flag_rows(testing::columns_of(rows));
    CHECK(by_columns.fired == testing::fired_by_records(rows));
    // No bit past the last row.
    for (std::size_t check = 0; check < check_count; ++check) {
        const flag_word last = by_columns.fired[check].back() | by_columns.evaluated[check].back();
        CHECK((count % word_rows == 0 || last >> (count % word_rows) == 0));
    }
}

// A column without states is summed up while it is put into lanes, one with states is gone through
// there: of few rows each must say the same beside the other.
TEST_CASE("a few rows fire the same bits with states and without") {
    const std::size_t count = GENERATE(2U, 8U, 9U, 20U, 32U, 33U);
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        testing::rows rows = testing::random_rows(1000 * count + seed, count);
        vital_columns some_states(rows.size());
        vital_columns all_states(rows.size());
        for_each_sign(all_signs{}, [&]<VitalSign S>(S) {
            const std::size_t sign = index_of(S::info.id);
            auto& values = rows.values[sign];
            auto& states = rows.states[sign];
            values.resize(rows.size());
            states.assign(rows.size(), reading_state::number);
            for (std::size_t row = 0; row < rows.size(); ++row) {
                if (std::isnan(values[row])) {
                    states[row] = reading_state::absent;
                }
            }
            all_states.add<S>(values, typename S::unit{}, states);
            (sign + seed) % 3 == 0 ? some_states.add<S>(values, typename S::unit{}, states)
                                   : some_states.add<S>(values, typename S::unit{});
        });
        for (vital_columns* columns : {&some_states, &all_states}) {
            columns->add_known(rows.known).add_ages(rows.ages);
            columns->add_reports(rows.reports_of_rows).add_times(rows.seconds);
        }
        INFO("seed " << seed);
        CHECK(flag_rows(some_states).fired == flag_rows(all_states).fired);
    }
}

// Else the cases above would agree about nothing.
TEST_CASE("the random rows make every check fire and stay silent") {
    std::array<std::size_t, check_count> fired{};
    std::size_t rows_seen = 0;
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        const auto rows = testing::random_rows(seed, 5000);
        const auto flags = flag_rows(testing::columns_of(rows));
        rows_seen += rows.size();
        for (std::size_t check = 0; check < check_count; ++check) {
            fired[check] += count_bits(flags.fired[check]);
        }
    }
    for (std::size_t check = 0; check < check_count; ++check) {
        INFO(check_table[check].code);
        CHECK((fired[check] > 0) == !check_of_report[check]);
        CHECK(fired[check] < rows_seen);
    }
}

TEST_CASE(
    "a check fires only where it was evaluated, and is evaluated where its needs are numbers") {
    const auto rows = testing::random_rows(11, 5000);
    const auto flags = flag_rows(testing::columns_of(rows));
    for (std::size_t check = 0; check < check_count; ++check) {
        INFO(check_table[check].code);
        for (std::size_t w = 0; w < flags.fired[check].size(); ++w) {
            CHECK((flags.fired[check][w] & ~flags.evaluated[check][w]) == 0);
        }
    }
    std::size_t row = 0;
    const std::size_t order = *find_check("pressure.order");
    for (const care_report& report : rows.reports) {
        for (const vital_set& set : report.sets) {
            const bool evaluated =
                (flags.evaluated[order][row / word_rows] >> (row % word_rows) & 1U) != 0;
            CHECK(evaluated == (set.systolic.is_number() && set.diastolic.is_number()));
            ++row;
        }
    }
}

TEST_CASE("columns in other units, strided and without states") {
    // kPa, a fraction, mmol/L, °F; every second value of each array is none of ours.
    const std::vector<double> kilopascals{16, -1, 10, -1};
    const std::vector<double> fractions{0.98, -1, 0.85, -1};
    const std::vector<double> amounts{5.5, -1, 3.0, -1};
    const std::vector<double> fahrenheit{98.6, -1, 95, -1};
    const auto every_second = [](const std::vector<double>& all) {
        return strided_values(all.data(), 2, 2);
    };
    vital_columns columns(2);
    columns.add<sign::systolic>(every_second(kilopascals), kPa)
        .add<sign::saturation>(every_second(fractions), fraction)
        .add<sign::glucose>(every_second(amounts), mmol_per_L)
        .add<sign::temperature>(every_second(fahrenheit), degF);
    const auto flags = flag_rows(columns);
    const auto fired = [&](std::string_view code) { return flags.fired[*find_check(code)][0]; };
    CHECK(fired("clinical.systolic_low") == 0b10);     // 10 kPa is 75 mmHg
    CHECK(fired("clinical.saturation_low") == 0b10);   // 85 %
    CHECK(fired("clinical.glucose_low") == 0b10);      // 54 mg/dL
    CHECK(fired("clinical.temperature_low") == 0b10);  // 35 °C, the limit
    CHECK(fired("impossible.systolic") == 0);
}

TEST_CASE("columns of unequal length are refused by name") {
    const std::vector<double> three{1, 2, 3};
    const std::vector<reading_state> two(2);
    vital_columns columns(3);
    CHECK_NOTHROW(columns.add<sign::pulse>(three, per_minute));
    CHECK_THROWS_WITH(vital_columns(2).add<sign::pulse>(three, per_minute),
                      Catch::Contains("pulse") && Catch::Contains("3") && Catch::Contains("2"));
    CHECK_THROWS_AS(columns.add<sign::pulse>(three, per_minute, two), std::invalid_argument);
    CHECK_THROWS_AS(columns.add_ages(strided_values(three.data(), 2, 1)), std::invalid_argument);
    const std::vector<facts> known(4);
    CHECK_THROWS_AS(columns.add_known(known), std::invalid_argument);
}

TEST_CASE("no rows, no flags") {
    const auto flags = flag_rows(vital_columns(0));
    CHECK(flags.rows == 0);
    CHECK(flags.fired.size() == check_count);
    CHECK(flags.fired[0].empty());
}

namespace {

// The facts that say how a reading was taken, and none about the patient.
facts of_methods_alone(const facts& known) {
    facts kept;
    for (const fact f :
         {fact::cuff_machine, fact::cuff_by_ear, fact::palpated, fact::doppler, fact::arterial,
          fact::one_pressure_method, fact::pulse_felt, fact::pulse_by_oximeter}) {
        if (known.known(f)) {
            kept.state(f, known.is(f));
        }
    }
    return kept;
}

}  // namespace

// What the fixtures' "context-" cases show of checks that name a context, turned round.
TEST_CASE("a check that names no context is changed by none") {
    std::size_t unchanged = 0;
    std::size_t changed = 0;
    for (std::uint64_t seed = 21; seed <= 24; ++seed) {
        auto rows = testing::random_rows(seed, 5000);
        const auto with = flag_rows(testing::columns_of(rows));
        std::ranges::transform(rows.known, rows.known.begin(), of_methods_alone);
        std::ranges::fill(rows.ages, std::numeric_limits<double>::quiet_NaN());
        const auto without = flag_rows(testing::columns_of(rows));
        for (std::size_t check = 0; check < check_count; ++check) {
            INFO(check_table[check].code);
            if (check_table[check].context.empty()) {
                CHECK(with.fired[check] == without.fired[check]);
                ++unchanged;
            } else {
                changed += with.fired[check] != without.fired[check] ? 1U : 0U;
            }
        }
    }
    CHECK(unchanged > 0);
    CHECK(changed > 0);
}
