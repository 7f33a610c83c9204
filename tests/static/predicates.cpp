// Predicates: each is a constant expression, so none reads beyond its row, throws, allocates or
// looks at anything but readings, context and limits; and each answers on every kind of row.
//
// A constant expression may not compute an infinity or (Clang) a NaN, so those rows are run as well
// as compiled: see also tests/unit/kernel.cpp, which runs mixed ones.
#include <vitalproof/age_limits.hpp>
#include <vitalproof/catalogue.hpp>

#include <catch2/catch.hpp>

#include <array>
#include <span>

using namespace vitalproof;

namespace {

constexpr real not_a_number = std::numeric_limits<real>::quiet_NaN();
constexpr real infinity = std::numeric_limits<real>::infinity();
constexpr sign_limits defaults{};

// One row, its lanes side by side: the stride is 1.
struct row {
    std::array<real, sign_count> values{};
    std::array<lane_int, sign_count> states{};
    age_limit_values ages = no_age_limits();
    facts known{};
    std::array<real, neighbour_lane_count> around = no_neighbours();
};

constexpr row filled(real value, lane_int state, facts known = {},
                     age_limit_values ages = no_age_limits()) {
    row r;
    r.values.fill(value);
    r.states.fill(state);
    r.known = known;
    r.ages = ages;
    return r;
}

template <class C>
constexpr typename C::limits limits_of{};

template <class C>
constexpr bool fires_on(const row& r) {
    return fires<C>(readings(r.values.data(), r.states.data(), 1), neighbours(r.around.data(), 1),
                    context(r.known.yes_bits(), r.known.no_bits(), r.ages.data(), 1, defaults),
                    limits_of<C>);
}

constexpr std::array<bool, check_count> fired_on(const row& r) {
    std::array<bool, check_count> fired{};
    std::size_t at = 0;
    for_each_check(catalogue{}, [&]<class C>() { fired[at++] = fires_on<C>(r); });
    return fired;
}

// Exactly these checks hold on the row.
constexpr bool fires_exactly(const row& r, std::span<const std::string_view> codes) {
    std::array<bool, check_count> expected{};
    for (const std::string_view code : codes) {
        expected[find_check(code).value()] = true;
    }
    return fired_on(r) == expected;
}

constexpr facts all_facts(bool so) {
    facts known;
    for (std::size_t i = 0; i < fact_count; ++i) {
        known.state(static_cast<fact>(i), so);
    }
    return known;
}

constexpr lane_int number = state_lane(reading_state::number);
constexpr row nothing_carried = filled(not_a_number, state_lane(reading_state::absent));
constexpr row all_blank = filled(not_a_number, state_lane(reading_state::absent, absence::blank));
constexpr row all_refused =
    filled(not_a_number, state_lane(reading_state::absent, absence::refused));
constexpr row all_zero = filled(0, number);
constexpr row all_minus_zero = filled(-0.0F, number);
constexpr row all_huge = filled(to_real(1e300), number);
constexpr row all_hugely_negative = filled(to_real(-1e300), number);
constexpr row all_above = filled(infinity, state_lane(reading_state::above));
constexpr row all_below = filled(-infinity, state_lane(reading_state::below));

constexpr row a_usual_adult() {
    row r = filled(not_a_number, number);
    r.values = {120, 80, 93, 72, 72, 16, 98, 95, 38, 36.8F, 4, 5, 6, 15, 1};
    return r;
}

constexpr std::array<std::string_view, 11> on_all_zero = {
    "impossible.coma_total", "impossible.responsiveness",
    "unlikely.exhaled_co2",  "zero.saturation",
    "zero.glucose",          "zero.temperature",
    "zero.mean_pressure",    "zero.no_signs_of_life",
    "clinical.systolic_low", "clinical.pulse_low",
    "clinical.breathing_low"};

// All values alike and beyond all measure: none is possible, and what is not is not held against
// others. The sum of three coma parts is beyond their total.
constexpr std::array<std::string_view, 16> on_all_huge = {
    "impossible.systolic",       "impossible.diastolic",
    "impossible.mean_pressure",  "impossible.pulse",
    "impossible.ecg_rate",       "impossible.respiratory_rate",
    "impossible.saturation",     "impossible.glucose",
    "impossible.exhaled_co2",    "impossible.temperature",
    "impossible.coma_eye",       "impossible.coma_verbal",
    "impossible.coma_motor",     "impossible.coma_total",
    "impossible.responsiveness", "coma.sum"};

template <class C>
constexpr std::uint32_t sees_of() {
    if constexpr (ReportCheck<C>) {
        return 0;
    } else {
        return C::sees::mask;
    }
}

// What is left without a value here may not be read in a constant expression.
template <class C>
constexpr bool asks_of_states_it_sees(const row& r) {
    lane_int states[sign_count];
    for (std::size_t sign = 0; sign < sign_count; ++sign) {
        if ((sees_of<C>() >> sign & 1U) != 0) {
            states[sign] = r.states[sign];
        }
    }
    const readings seen(r.values.data(), states, 1);
    const context known(r.known.yes_bits(), r.known.no_bits(), r.ages.data(), 1, defaults);
    const neighbours around(r.around.data(), 1);
    // Whatever they answer: a constant could not be worked out with a call that is not total.
    static_cast<void>(fires<C>(seen, around, known, {}));
    if constexpr (Screened<C>) {
        static_cast<void>(C::screen(seen, known, {}));
    }
    if constexpr (Suspecting<C>) {
        static_cast<void>(C::suspects(seen, around, known, {}));
    }
    return true;
}

template <class C>
constexpr bool bounds_lie_on_what_it_looks_at() {
    if constexpr (Bounded<C>) {
        constexpr std::uint32_t signs = C::needs::mask | C::sees::mask;
        real values[extreme_values::columns];
        for (std::size_t sign = 0; sign < sign_count; ++sign) {
            if ((signs >> sign & 1U) != 0) {
                values[sign] = 0;
            }
        }
        [&]<class... D>(difference_list<D...>) {
            std::size_t at = sign_count;
            const auto fill = [&](bool asked_for) {
                if (asked_for) {
                    values[at] = 0;
                }
                ++at;
            };
            (fill(may_ask_for<C, D>), ...);
        }(all_differences{});
        static_cast<void>(C::strays(extreme_values(values, 1, 0, 0, defaults), {}));
    }
    return true;
}

}  // namespace

TEST_CASE("bounds lie on signs that the check looks at, and on differences of those") {
    for_each_check(catalogue{},
                   []<class C>() { STATIC_REQUIRE(bounds_lie_on_what_it_looks_at<C>()); });
}

#if !defined(__clang__)  // which takes a NaN in a computation for no constant
TEST_CASE("no check asks for the state of a sign that it does not say it sees") {
    for_each_check(catalogue{}, []<class C>() {
        STATIC_REQUIRE(asks_of_states_it_sees<C>(a_usual_adult()));
        STATIC_REQUIRE(asks_of_states_it_sees<C>(all_zero));
        STATIC_REQUIRE(asks_of_states_it_sees<C>(all_blank));
    });
}

TEST_CASE("no check fires where there is nothing") {
    STATIC_REQUIRE(fires_exactly(nothing_carried, {}));
    STATIC_REQUIRE(fires_exactly(all_blank, {}));
    STATIC_REQUIRE(fires_exactly(all_refused, {}));
    STATIC_REQUIRE(fires_exactly(filled(not_a_number, 0, all_facts(true)), {}));
    STATIC_REQUIRE(fires_exactly(filled(not_a_number, 0, all_facts(false)), {}));
    STATIC_REQUIRE(fires_exactly(filled(not_a_number, 0, {}, age_limits_of(age_in_years(1))), {}));
}

TEST_CASE("no check fires on a usual adult") { STATIC_REQUIRE(fires_exactly(a_usual_adult(), {})); }

TEST_CASE("a row of zeros") {
    STATIC_REQUIRE(fires_exactly(all_zero, on_all_zero));
    STATIC_REQUIRE(fires_exactly(all_minus_zero, on_all_zero));
}

TEST_CASE("rows of large numbers") {
    STATIC_REQUIRE(fires_exactly(filled(1e30F, number), on_all_huge));
    STATIC_REQUIRE(fired_on(filled(-1e30F, number))[*find_check("impossible.pulse")]);
}

TEST_CASE(
    "every predicate answers with everything known, everything denied, and a child's limits") {
    STATIC_REQUIRE(fired_on(filled(0, number, all_facts(true)))[*find_check("zero.glucose")]);
    STATIC_REQUIRE(fired_on(filled(0, number, all_facts(false)))[*find_check("zero.glucose")]);
    STATIC_REQUIRE(
        fired_on(filled(0, number, facts{}.state(fact::child, true),
                        age_limits_of(age_in_years(1))))[*find_check("clinical.pulse_low")]);
}
#endif

// The same and more, run: here an overflow or a NaN is an ordinary value.
TEST_CASE("run: rows of nothing, zeros, the largest numbers") {
    CHECK(fires_exactly(nothing_carried, {}));
    CHECK(fires_exactly(all_blank, {}));
    CHECK(fires_exactly(all_refused, {}));
    CHECK(fires_exactly(all_zero, on_all_zero));
    CHECK(fires_exactly(all_minus_zero, on_all_zero));
    CHECK(fires_exactly(all_huge, on_all_huge));
    CHECK(fired_on(all_hugely_negative)[*find_check("impossible.saturation")]);
    CHECK(!fired_on(all_hugely_negative)[*find_check("clinical.saturation_low")]);
}

TEST_CASE("run: a usual adult, and everything known or denied") {
    CHECK(fires_exactly(a_usual_adult(), {}));
    for (const bool so : {true, false}) {
        CHECK(fired_on(filled(0, number, all_facts(so)))[*find_check("zero.glucose")]);
    }
}

TEST_CASE("run: all beyond the device's span") {
    for (const row* r : {&all_above, &all_below}) {
        const auto fired = fired_on(*r);
        std::size_t beyond = 0;
        for (std::size_t i = 0; i < check_count; ++i) {
            beyond += check_table[i].code.starts_with("beyond.") && fired[i] ? 1U : 0U;
            INFO(check_table[i].code);
            CHECK(!(check_table[i].code.starts_with("unreadable.") && fired[i]));
            CHECK(!(check_table[i].code.starts_with("zero.") && fired[i]));
        }
        CHECK(beyond == 13);
    }
    CHECK(fired_on(all_above)[*find_check("clinical.glucose_above_meter")]);
    CHECK(!fired_on(all_above)[*find_check("clinical.glucose_low")]);
    CHECK(fired_on(all_below)[*find_check("clinical.glucose_low")]);
    CHECK(!fired_on(all_below)[*find_check("clinical.glucose_above_meter")]);
}
