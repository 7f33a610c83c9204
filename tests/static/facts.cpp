// Facts: known true, known false and unknown stay apart; what is closer to the set outranks.
#include <vitalproof/block.hpp>
#include <vitalproof/facts.hpp>
#include <vitalproof/vital_set.hpp>

#include <catch2/catch.hpp>

using namespace vitalproof;

namespace {

constexpr facts yes(fact f) { return facts{}.state(f, true); }
constexpr facts no(fact f) { return facts{}.state(f, false); }

constexpr bool bits_are_apart() {
    lane_int seen = 0;
    for (std::size_t i = 0; i < fact_count; ++i) {
        const lane_int bit = bit_of(static_cast<fact>(i));
        if (bit == 0 || (seen & bit) != 0) {
            return false;
        }
        seen |= bit;
    }
    return true;
}

constexpr bool names_are_unique() {
    for (std::size_t a = 0; a < fact_count; ++a) {
        for (std::size_t b = 0; b < a; ++b) {
            if (fact_names[a] == fact_names[b] || fact_names[a].empty()) {
                return false;
            }
        }
    }
    return true;
}

constexpr std::optional<age_in_years> age(double years) { return age_in_years(years); }

constexpr vital_set by(method pressure, method mean, method diastolic) {
    vital_set set;
    set.systolic.set_method(pressure);
    set.diastolic.set_method(diastolic);
    set.mean_pressure.set_method(mean);
    return set;
}

constexpr vital_set pulse_by(method how) {
    vital_set set;
    set.pulse.set_method(how);
    return set;
}

}  // namespace

TEST_CASE("three answers") {
    STATIC_REQUIRE(yes(fact::arrest).is(fact::arrest));
    STATIC_REQUIRE(!yes(fact::arrest).is_not(fact::arrest));
    STATIC_REQUIRE(no(fact::arrest).is_not(fact::arrest));
    STATIC_REQUIRE(no(fact::arrest).known(fact::arrest));
    STATIC_REQUIRE(!facts{}.known(fact::arrest));
    STATIC_REQUIRE(!yes(fact::arrest).forget(fact::arrest).known(fact::arrest));
    STATIC_REQUIRE(yes(fact::arrest).state(fact::arrest, false) == no(fact::arrest));
    STATIC_REQUIRE(!yes(fact::arrest).known(fact::compressions));
}

TEST_CASE("the closer fact outranks, silence does not") {
    STATIC_REQUIRE(yes(fact::arrest).overlaid_by(no(fact::arrest)) == no(fact::arrest));
    STATIC_REQUIRE(no(fact::arrest).overlaid_by(yes(fact::arrest)) == yes(fact::arrest));
    STATIC_REQUIRE(yes(fact::arrest).overlaid_by({}) == yes(fact::arrest));
    STATIC_REQUIRE(facts{}.overlaid_by(no(fact::arrest)) == no(fact::arrest));
    STATIC_REQUIRE(yes(fact::arrest).overlaid_by(yes(fact::paced)) ==
                   yes(fact::arrest).state(fact::paced, true));
}

TEST_CASE("bits") {
    STATIC_REQUIRE(bits_are_apart());
    STATIC_REQUIRE(bit_of(fact::prior_care) == 1);  // no predicate over columns asks for it
    STATIC_REQUIRE(static_cast<std::size_t>(fact::prior_care) + 1 == fact_count);
    STATIC_REQUIRE(names_are_unique());
    STATIC_REQUIRE(facts::from_bits(bit_of(fact::paced), bit_of(fact::paced)) == yes(fact::paced));
}

TEST_CASE("facts of an age at its borders") {
    constexpr auto minutes = [](double count) {
        return age_in_years(std::chrono::duration<double, std::chrono::minutes::period>(count));
    };
    STATIC_REQUIRE(facts_of_age(minutes(10.9)).is(fact::just_born));
    STATIC_REQUIRE(!facts_of_age(minutes(11)).known(fact::just_born));
    STATIC_REQUIRE(!facts_of_age(age(0)).known(fact::just_born));  // zero years, as likely
    STATIC_REQUIRE(facts_of_age(age(0)).is(fact::under_two));
    STATIC_REQUIRE(facts_of_age(age(1.999)).is(fact::under_two));
    STATIC_REQUIRE(facts_of_age(age(2)).is_not(fact::under_two));
    STATIC_REQUIRE(facts_of_age(age(15.999)).is(fact::child));
    STATIC_REQUIRE(facts_of_age(age(16)).is_not(fact::child));
    STATIC_REQUIRE(facts_of_age(age(64.999)).is_not(fact::over_64));
    STATIC_REQUIRE(facts_of_age(age(65)).is(fact::over_64));
    STATIC_REQUIRE(facts_of_age(age(130)).is(fact::over_64));
}

TEST_CASE("no age, no facts") {
    STATIC_REQUIRE(facts_of_age(std::nullopt) == facts{});
    STATIC_REQUIRE(facts_of_age(age(-0.1)) == facts{});
    STATIC_REQUIRE(facts_of_age(age(130.1)) == facts{});
    STATIC_REQUIRE(facts_of_age(age(std::numeric_limits<double>::quiet_NaN())) == facts{});
}

TEST_CASE("facts of methods") {
    constexpr auto unknown = method::unknown;
    constexpr auto machine = method::cuff_machine;
    STATIC_REQUIRE(facts_of_methods({}) == facts{});
    STATIC_REQUIRE(facts_of_methods(by(machine, unknown, unknown)).is(fact::cuff_machine));
    STATIC_REQUIRE(facts_of_methods(by(machine, unknown, unknown)).is_not(fact::palpated));
    STATIC_REQUIRE(facts_of_methods(by(method::palpated, unknown, unknown)).is(fact::palpated));
    STATIC_REQUIRE(facts_of_methods(by(method::doppler, unknown, unknown)).is(fact::doppler));
    STATIC_REQUIRE(facts_of_methods(by(method::arterial, unknown, unknown)).is(fact::arterial));
    STATIC_REQUIRE(
        !facts_of_methods(by(machine, unknown, machine)).known(fact::one_pressure_method));
    STATIC_REQUIRE(facts_of_methods(by(machine, machine, machine)).is(fact::one_pressure_method));
    STATIC_REQUIRE(
        facts_of_methods(by(machine, method::arterial, machine)).is_not(fact::one_pressure_method));
    STATIC_REQUIRE(
        facts_of_methods(by(machine, machine, method::arterial)).is_not(fact::one_pressure_method));
    STATIC_REQUIRE(facts_of_methods(pulse_by(method::felt)).is(fact::pulse_felt));
    STATIC_REQUIRE(facts_of_methods(pulse_by(method::felt)).is_not(fact::pulse_by_oximeter));
    STATIC_REQUIRE(facts_of_methods(pulse_by(method::by_oximeter)).is(fact::pulse_by_oximeter));
}

TEST_CASE("what a report says outranks what follows from its age") {
    STATIC_REQUIRE(lanes_of_report(no(fact::child), age(5)).known.is_not(fact::child));
    STATIC_REQUIRE(lanes_of_report({}, age(5)).known.is(fact::child));
}
