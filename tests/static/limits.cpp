// Limits: the tables are in order, exceptions replace them, and ages resolve to the right row.
#include <vitalproof/age_limits.hpp>
#include <vitalproof/limits.hpp>

#include <catch2/catch.hpp>

using namespace vitalproof;

namespace {

constexpr sign_limits defaults{};

constexpr bool every_figure_has_a_source() {
    const auto sourced = [](const auto& table) {
        return std::ranges::all_of(table, [](const bounds& b) { return !b.source.empty(); });
    };
    return sourced(defaults.possible) && sourced(defaults.believable) &&
           sourced(defaults.believable_when) && sourced(defaults.usual);
}

constexpr bool inside(const bounds& inner, const bounds& outer) {
    return outer.low <= inner.low && inner.low <= inner.high && inner.high <= outer.high;
}

// usual within believable within possible; an exception within possible too.
constexpr bool tables_are_nested() {
    for (std::size_t i = 0; i < sign_count; ++i) {
        if (!inside(defaults.believable[i], defaults.possible[i]) ||
            !inside(defaults.usual[i], defaults.believable[i])) {
            return false;
        }
    }
    for (std::size_t i = 0; i < believable_exceptions.size(); ++i) {
        if (!inside(defaults.believable_when[i],
                    defaults.possible[index_of(believable_exceptions[i].sign)])) {
            return false;
        }
    }
    return true;
}

// Where arrest makes a zero true, it is possible.
constexpr bool zeros_of_arrest_are_possible() {
    constexpr std::array signs{sign_id::systolic, sign_id::diastolic, sign_id::pulse,
                               sign_id::ecg_rate, sign_id::respiratory_rate};
    return std::ranges::all_of(signs,
                               [](sign_id s) { return defaults.possible[index_of(s)].low == 0; });
}

template <VitalSign S>
constexpr bool believes(double value, facts known = {}) {
    const age_limit_values none = no_age_limits();
    const context c(known.yes_bits(), known.no_bits(), none.data(), 1, defaults);
    return c.is_believable<S>(lane_value_of<S>::from_value(to_real(value)));
}

template <VitalSign S>
constexpr bool believes_from_to(double low, double high, facts known) {
    return believes<S>(low, known) && believes<S>(high, known) && !believes<S>(low - 0.1, known) &&
           !believes<S>(high + 0.1, known);
}

constexpr facts when(fact f) { return facts{}.state(f, true); }
constexpr facts when_not(fact f) { return facts{}.state(f, false); }

constexpr real of_age(double years, age_limit which) {
    return age_limits_of(age_in_years(years))[static_cast<std::size_t>(which)];
}

constexpr bool near(real a, double b) { return (a < b ? b - a : a - b) < 1e-4; }

// The limits of a month are those of its row: 1st centile less 20 %, 99th plus 20 %.
constexpr bool has_row(double months, double pulse_low, double pulse_high, double breathing_low,
                       double breathing_high) {
    const double years = months / 12;
    return near(of_age(years, age_limit::pulse_low), pulse_low * 0.8) &&
           near(of_age(years, age_limit::pulse_high), pulse_high * 1.2) &&
           near(of_age(years, age_limit::breathing_low), breathing_low * 0.8) &&
           near(of_age(years, age_limit::breathing_high), breathing_high * 1.2);
}

constexpr bool has_none(std::optional<age_in_years> age) {
    return std::ranges::all_of(age_limits_of(age), [](real limit) { return limit != limit; });
}

}  // namespace

TEST_CASE("tables") {
    STATIC_REQUIRE(every_figure_has_a_source());
    STATIC_REQUIRE(tables_are_nested());
    STATIC_REQUIRE(zeros_of_arrest_are_possible());
}

TEST_CASE("believable without context") {
    // Common practice, no source.
    STATIC_REQUIRE(believes_from_to<sign::systolic>(40, 260, {}));
    STATIC_REQUIRE(believes_from_to<sign::diastolic>(20, 160, {}));
    STATIC_REQUIRE(believes_from_to<sign::pulse>(20, 250, {}));
    STATIC_REQUIRE(believes_from_to<sign::respiratory_rate>(4, 70, {}));
    STATIC_REQUIRE(believes_from_to<sign::glucose>(20, 600, {}));
    STATIC_REQUIRE(believes_from_to<sign::exhaled_co2>(3, 110, {}));
    STATIC_REQUIRE(believes_from_to<sign::temperature>(30, 42.5, {}));
    STATIC_REQUIRE(!believes<sign::pulse>(std::numeric_limits<double>::quiet_NaN()));
}

TEST_CASE("believable under two years, with exposure, by laboratory, in arrest") {
    // Common practice, no source.
    STATIC_REQUIRE(believes_from_to<sign::pulse>(40, 300, when(fact::under_two)));
    STATIC_REQUIRE(believes_from_to<sign::ecg_rate>(40, 300, when(fact::under_two)));
    STATIC_REQUIRE(believes_from_to<sign::respiratory_rate>(10, 100, when(fact::under_two)));
    STATIC_REQUIRE(believes_from_to<sign::glucose>(15, 1200, when(fact::laboratory_glucose)));
    STATIC_REQUIRE(believes_from_to<sign::temperature>(13, 46, when(fact::exposure)));
    STATIC_REQUIRE(believes_from_to<sign::temperature>(13, 46, when(fact::arrest)));
}

TEST_CASE("an exception holds for its own sign, and only while known") {
    STATIC_REQUIRE(believes_from_to<sign::pulse>(20, 250, when_not(fact::under_two)));
    STATIC_REQUIRE(believes_from_to<sign::systolic>(40, 260, when(fact::under_two)));
    STATIC_REQUIRE(believes_from_to<sign::glucose>(20, 600, when(fact::exposure)));
    STATIC_REQUIRE(believes_from_to<sign::temperature>(30, 42.5, when_not(fact::exposure)));
    STATIC_REQUIRE(believes_from_to<sign::pulse>(20, 250, when(fact::arrest)));
}

TEST_CASE("possible at the limit, impossible beyond, and neither for a value that is none") {
    static constexpr age_limit_values none = no_age_limits();
    static constexpr context c(0, 0, none.data(), 1, defaults);
    constexpr auto nothing =
        lane_value_of<sign::saturation>::from_value(std::numeric_limits<real>::quiet_NaN());
    STATIC_REQUIRE(c.is_possible<sign::saturation>(100.0F * percent));
    STATIC_REQUIRE(c.is_possible<sign::saturation>(0.0F * percent));
    STATIC_REQUIRE(is_impossible<sign::saturation>(c.limits(), 100.1F * percent));
    STATIC_REQUIRE(is_impossible<sign::saturation>(c.limits(), -0.1F * percent));
    STATIC_REQUIRE(!is_impossible<sign::saturation>(c.limits(), 100.0F * percent));
    STATIC_REQUIRE(!c.is_possible<sign::saturation>(nothing));
    STATIC_REQUIRE(!is_impossible<sign::saturation>(c.limits(), nothing));
}

TEST_CASE("rows of well children begin at their month") {
    // Fleming et al. 2011, Lancet 377:1011.
    STATIC_REQUIRE(has_row(0, 107, 181, 25, 66));
    STATIC_REQUIRE(has_row(2.99, 107, 181, 25, 66));
    STATIC_REQUIRE(has_row(3, 104, 175, 24, 64));
    STATIC_REQUIRE(has_row(5.99, 104, 175, 24, 64));
    STATIC_REQUIRE(has_row(6, 98, 168, 23, 61));
    STATIC_REQUIRE(has_row(9, 93, 161, 22, 58));
    STATIC_REQUIRE(has_row(12, 88, 156, 21, 53));
    STATIC_REQUIRE(has_row(17.99, 88, 156, 21, 53));
    STATIC_REQUIRE(has_row(18, 82, 149, 19, 46));
    STATIC_REQUIRE(has_row(24, 76, 142, 18, 38));
    STATIC_REQUIRE(has_row(36, 70, 136, 17, 33));
    STATIC_REQUIRE(has_row(48, 65, 131, 17, 29));
    STATIC_REQUIRE(has_row(71.99, 65, 131, 17, 29));
    STATIC_REQUIRE(has_row(72, 59, 123, 16, 27));
    STATIC_REQUIRE(has_row(96, 52, 115, 14, 25));
    STATIC_REQUIRE(has_row(144, 47, 108, 12, 23));
    STATIC_REQUIRE(has_row(180, 43, 104, 11, 22));
    STATIC_REQUIRE(has_row(191.99, 43, 104, 11, 22));
}

TEST_CASE("the pressure called low in a child") {
    // PALS, from memory.
    STATIC_REQUIRE(of_age(0, age_limit::hypotension) == 60);
    STATIC_REQUIRE(of_age(28 / 365.25, age_limit::hypotension) == 60);
    STATIC_REQUIRE(of_age(29 / 365.25, age_limit::hypotension) == 70);
    STATIC_REQUIRE(of_age(0.999, age_limit::hypotension) == 70);
    STATIC_REQUIRE(of_age(1, age_limit::hypotension) == 72);
    STATIC_REQUIRE(of_age(9.9, age_limit::hypotension) == 88);
    STATIC_REQUIRE(of_age(10, age_limit::hypotension) == 90);
    STATIC_REQUIRE(of_age(10.1, age_limit::hypotension) == 90);
    STATIC_REQUIRE(of_age(15.9, age_limit::hypotension) == 90);
}

TEST_CASE("adults and unknown ages have none") {
    STATIC_REQUIRE(has_none(std::nullopt));
    STATIC_REQUIRE(has_none(age_in_years(16)));
    STATIC_REQUIRE(has_none(age_in_years(-1)));
    STATIC_REQUIRE(has_none(age_in_years(131)));
    STATIC_REQUIRE(!has_none(age_in_years(15.99)));
}
