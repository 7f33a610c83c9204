// Units: what converts, by which factor, and what never meets.
#include <vitalproof/units.hpp>

#include <catch2/catch.hpp>

#include <concepts>
#include <type_traits>

using namespace vitalproof;

namespace {

constexpr bool near(double a, double b, double tolerance = 1e-12) {
    return (a < b ? b - a : a - b) <= tolerance;
}

template <class A, class B>
concept Comparable = requires(quantity<A> a, quantity<B> b) {
    a < b;
}
|| requires(quantity<A> a, quantity<B> b) { a == b; };

// Sums and assignments cannot be asked about, only tried: see tests/compile_fail.
template <class A, class B>
constexpr bool mixes = std::convertible_to<quantity<A>, quantity<B>> || Comparable<A, B>;

template <class A, class B>
constexpr bool converts_when_asked = requires(quantity<A> a) {
    to<B>(a);
};

// Whether no unit of the list mixes with another of it.
template <class... U>
constexpr bool none_mixes() {
    const auto with_all = []<class A>() { return ((std::same_as<A, U> || !mixes<A, U>)&&...); };
    return (with_all.template operator()<U>() && ...);
}

}  // namespace

TEST_CASE("pressure: 1 mmHg is 133.322387415 Pa") {
    // The conventional definition, which UCUM's 0.133322 kPa rounds.
    STATIC_REQUIRE(near(to<units::kilopascal>(1.0 * mmHg).value(), 0.133322387415, 1e-15));
    // Clang has no constant for the power of ten on the way back.
    CHECK(near(to<units::mmhg>(0.133322387415 * kPa).value(), 1, 1e-14));
    CHECK(near(to<units::mmhg>(to<units::kilopascal>(120.0 * mmHg)).value(), 120));
    STATIC_REQUIRE(near(to<boost::units::si::pressure>(1.0 * kPa).value(), 1000));
}

TEST_CASE("glucose: 100 mg/dL is 5.5507449 mmol/L") {
    // The example of UCUM's reference implementation, at 180.156 g/mol.
    STATIC_REQUIRE(near(to_mmol_per_l(100.0 * mg_per_dL).value(), 5.5507449, 5e-8));
    STATIC_REQUIRE(near(to_mg_per_dl(1.0 * mmol_per_L).value(), 18.0156));
    STATIC_REQUIRE(near(to_mmol_per_l(to_mg_per_dl(33.3 * mmol_per_L)).value(), 33.3));
    STATIC_REQUIRE(!near(to_mg_per_dl(1.0 * mmol_per_L).value(), 18.0182, 1e-3));
}

TEST_CASE("temperature: a point on a scale") {
    STATIC_REQUIRE(near(to<units::celsius>(98.6 * degF).value(), 37));
    STATIC_REQUIRE(near(to<units::celsius>(0.0 * degF).value(), -17.777777777777779));
    STATIC_REQUIRE(near(to<units::celsius>(32.0 * degF).value(), 0));
    STATIC_REQUIRE(near(to<units::celsius>(-40.0 * degF).value(), -40));
    STATIC_REQUIRE(near(to<units::fahrenheit>(100.0 * degC).value(), 212));
}

TEST_CASE("a converted value on a limit lands on it as a predicate sees it") {
    STATIC_REQUIRE(static_cast<real>(to<units::celsius>(95.0 * degF).value()) == 35.0F);
    STATIC_REQUIRE(static_cast<real>(to<units::celsius>(102.38 * degF).value()) == 39.1F);
    STATIC_REQUIRE(static_cast<real>(to<units::percent>(0.9 * fraction).value()) == 90.0F);
}

TEST_CASE("saturation: a fraction is a hundred percent") {
    STATIC_REQUIRE(near(to<units::percent>(0.98 * fraction).value(), 98));
    STATIC_REQUIRE(near(to<units::fraction>(98.0 * percent).value(), 0.98));
}

TEST_CASE("exhaled CO2: a percentage needs its basis") {
    // 5 % at 760 mmHg: of dry gas 38, at body conditions (47 mmHg of water) 35.65.
    STATIC_REQUIRE(near(exhaled_co2_from_percent(5.0 * percent).value(), 38));
    STATIC_REQUIRE(
        near(exhaled_co2_from_percent(5.0 * percent, {760.0 * mmHg, 47.0 * mmHg}).value(), 35.65));
    STATIC_REQUIRE(
        near(exhaled_co2_from_percent(5.0 * percent, {620.0 * mmHg, 0.0 * mmHg}).value(), 31));
}

TEST_CASE("no two units mix without a word") {
    STATIC_REQUIRE(
        none_mixes<units::mmhg, units::kilopascal, boost::units::si::pressure, units::per_minute,
                   units::percent, units::fraction, units::mg_per_dl, units::mmol_per_l,
                   units::celsius, units::fahrenheit, units::point, units::responsiveness_code>());
    STATIC_REQUIRE(Comparable<units::mmhg, units::mmhg>);
}

// That nothing else converts is for tests/compile_fail: Boost says so only when tried.
TEST_CASE("what has one dimension converts when asked") {
    STATIC_REQUIRE(converts_when_asked<units::kilopascal, units::mmhg>);
    STATIC_REQUIRE(converts_when_asked<units::fraction, units::percent>);
    STATIC_REQUIRE(converts_when_asked<units::fahrenheit, units::celsius>);
}

TEST_CASE("no quantity is a bare number, nor a bare number a quantity") {
    const auto stands_alone = []<class U>(U) {
        return !std::convertible_to<quantity<U>, double> &&
               !std::convertible_to<double, quantity<U>> &&
               !std::is_assignable_v<quantity<U>&, double>;
    };
    STATIC_REQUIRE(stands_alone(mmHg));
    STATIC_REQUIRE(stands_alone(per_minute));
    STATIC_REQUIRE(stands_alone(percent));
    STATIC_REQUIRE(stands_alone(fraction));
    STATIC_REQUIRE(stands_alone(mg_per_dL));
    STATIC_REQUIRE(stands_alone(mmol_per_L));
    STATIC_REQUIRE(stands_alone(degC));
    STATIC_REQUIRE(stands_alone(degF));
    STATIC_REQUIRE(stands_alone(points));
}
