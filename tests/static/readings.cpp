// Readings: one sign's never becomes another's, and no state passes for a number.
#include <vitalproof/lanes.hpp>
#include <vitalproof/reading.hpp>

#include <catch2/catch.hpp>

#include <concepts>
#include <limits>
#include <type_traits>

using namespace vitalproof;

namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();

template <VitalSign From, VitalSign To>
constexpr bool passes_for = std::is_assignable_v<reading<To>&, reading<From>> ||
                            std::is_convertible_v<reading<From>, reading<To>> ||
                            std::is_constructible_v<reading<To>, reading<From>>;

template <class... S>
constexpr bool none_passes_for_another(sign_list<S...>) {
    const auto only_itself = []<class A>() {
        return ((std::same_as<A, S> || !passes_for<A, S>)&&...) && passes_for<A, A>;
    };
    return (only_itself.template operator()<S>() && ...);
}

template <class... S>
constexpr bool none_is_made_of_a_bare_number(sign_list<S...>) {
    return ((!std::is_convertible_v<double, reading<S>> &&
             !std::is_convertible_v<int, reading<S>> &&
             !std::is_constructible_v<reading<S>, double> &&
             !std::is_assignable_v<reading<S>&, double>)&&...);
}

template <class... S>
constexpr bool all_are_plain(sign_list<S...>) {
    return (std::is_trivially_copyable_v<reading<S>> && ...);
}

using pulse = reading<sign::pulse>;

}  // namespace

TEST_CASE("no reading passes for one of another sign") {
    STATIC_REQUIRE(none_passes_for_another(all_signs{}));
}

TEST_CASE("no reading is made of a bare number") {
    STATIC_REQUIRE(none_is_made_of_a_bare_number(all_signs{}));
}

TEST_CASE("readings are plain values") { STATIC_REQUIRE(all_are_plain(all_signs{})); }

TEST_CASE("a reading is absent until it is given something") {
    STATIC_REQUIRE(pulse{}.state() == reading_state::absent);
    STATIC_REQUIRE(pulse{}.why_absent() == absence::not_carried);
    STATIC_REQUIRE(!pulse{}.value());
    STATIC_REQUIRE(pulse::absent(absence::refused).why_absent() == absence::refused);
}

TEST_CASE("NaN is a blank, an infinity is unreadable") {
    const pulse nothing(not_a_number * per_minute);
    CHECK(nothing.state() == reading_state::absent);
    CHECK(nothing.why_absent() == absence::blank);
    CHECK(pulse(infinity * per_minute).state() == reading_state::unreadable);
    CHECK(pulse(-infinity * per_minute).state() == reading_state::unreadable);
    STATIC_REQUIRE(pulse(1e300 * per_minute).state() == reading_state::number);
    STATIC_REQUIRE(pulse(-0.0 * per_minute).state() == reading_state::number);
}

TEST_CASE("only a number has a value") {
    STATIC_REQUIRE(pulse(72.0 * per_minute).value()->value() == 72.0);
    STATIC_REQUIRE(!pulse::above().value());
    STATIC_REQUIRE(!pulse::below().value());
    STATIC_REQUIRE(!pulse::unreadable().value());
}

TEST_CASE("a method does not change what a reading means") {
    constexpr pulse felt = pulse(72.0 * per_minute).set_method(method::felt);
    STATIC_REQUIRE(felt.how() == method::felt);
    STATIC_REQUIRE(felt.raw() == 72.0);
}

TEST_CASE("lanes: a huge number stays one, HI and LO lie beyond every number") {
    constexpr real most = std::numeric_limits<real>::max();
    STATIC_REQUIRE(to_real(1e300) == most);
    STATIC_REQUIRE(to_real(-1e300) == -most);
    STATIC_REQUIRE(to_real(120.5) == 120.5F);
    STATIC_REQUIRE(to_real(not_a_number) != to_real(not_a_number));
    STATIC_REQUIRE(lane_without_number(reading_state::above) > most);
    STATIC_REQUIRE(lane_without_number(reading_state::below) < -most);
    for (const reading_state state : {reading_state::unreadable, reading_state::absent}) {
        CHECK(std::isnan(lane_without_number(state)));
    }
    STATIC_REQUIRE(to_real(pulse(72.0 * per_minute).raw()) == 72.0F);
}

TEST_CASE("lanes: every state and every absence has a number of its own") {
    constexpr std::array lanes{state_lane(reading_state::absent, absence::not_carried),
                               state_lane(reading_state::absent, absence::blank),
                               state_lane(reading_state::absent, absence::not_recorded),
                               state_lane(reading_state::absent, absence::not_applicable),
                               state_lane(reading_state::absent, absence::refused),
                               state_lane(reading_state::absent, absence::unable),
                               state_lane(reading_state::absent, absence::not_present),
                               state_lane(reading_state::number),
                               state_lane(reading_state::above),
                               state_lane(reading_state::below),
                               state_lane(reading_state::unreadable)};
    // Rising, hence distinct; and the kernel takes what lies above `number` for the odd states.
    STATIC_REQUIRE(std::ranges::is_sorted(lanes, std::ranges::less_equal{}));
    STATIC_REQUIRE(state_lane(reading_state::absent, absence::not_present) <
                   state_lane(reading_state::number));
}

TEST_CASE("without a branch: all of them, any of them") {
    STATIC_REQUIRE(all(true, true, true));
    STATIC_REQUIRE(!all(true, false, true));
    STATIC_REQUIRE(any(false, true, false));
    STATIC_REQUIRE(!any(false, false));
}
