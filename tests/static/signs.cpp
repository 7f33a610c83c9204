// Signs: one tag each, complete, in order, and of their own type although units agree.
#include <vitalproof/signs.hpp>
#include <vitalproof/vital_set.hpp>

#include <catch2/catch.hpp>

#include <concepts>

using namespace vitalproof;

namespace {

template <class... S>
constexpr bool all_distinct(sign_list<S...>) {
    const auto met_once = []<class A>() { return (std::size_t{std::same_as<A, S>} + ...) == 1; };
    return (met_once.template operator()<S>() && ...);
}

template <VitalSign S, class Unit>
constexpr bool held_in = std::same_as<typename S::unit, Unit>;

constexpr bool is_name(std::string_view name) {
    return !name.empty() && std::ranges::all_of(name, [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
    });
}

constexpr bool table_is_indexed_by_id() {
    for (std::size_t i = 0; i < sign_table.size(); ++i) {
        if (index_of(sign_table[i].id) != i) {
            return false;
        }
    }
    return true;
}

constexpr bool names_are_whole_and_unique() {
    for (const sign_info& a : sign_table) {
        if (!is_name(a.name) || a.label.empty() || a.loinc.empty() ||
            !a.element.starts_with("eVitals.")) {
            return false;
        }
        for (const sign_info& b : sign_table) {
            if (a.id != b.id && (a.name == b.name || a.label == b.label || a.loinc == b.loinc)) {
                return false;
            }
        }
    }
    return true;
}

// Only a level has no unit; every other is written, for people and in UCUM.
constexpr bool units_are_written() {
    return std::ranges::all_of(sign_table, [](const sign_info& s) {
        const bool level = s.id == sign_id::responsiveness;
        return s.unit.empty() == level && s.ucum.empty() == level;
    });
}

// Whether a set's member for S is a reading of S.
constexpr bool members_fit_their_signs() {
    bool fit = true;
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        fit = fit && std::same_as<decltype(std::declval<const vital_set&>()[s]), const reading<S>&>;
    });
    return fit;
}

constexpr bool members_are_apart() {
    vital_set set;
    bool apart = true;
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        apart = apart && set[s].state() == reading_state::absent;
        set[s] = reading<S>::above();
    });
    return apart;
}

}  // namespace

TEST_CASE("the table of signs") {
    STATIC_REQUIRE(sign_table.size() == sign_count);
    STATIC_REQUIRE(all_signs::size == sign_count);
    STATIC_REQUIRE(all_signs::mask == (1U << sign_count) - 1);
    STATIC_REQUIRE(table_is_indexed_by_id());
    STATIC_REQUIRE(names_are_whole_and_unique());
    STATIC_REQUIRE(units_are_written());
    STATIC_REQUIRE(describe(sign_id::exhaled_co2).name == "exhaled_co2");
}

TEST_CASE("each sign is a type of its own") { STATIC_REQUIRE(all_distinct(all_signs{})); }

TEST_CASE("each sign's unit") {
    STATIC_REQUIRE(held_in<sign::systolic, units::mmhg>);
    STATIC_REQUIRE(held_in<sign::diastolic, units::mmhg>);
    STATIC_REQUIRE(held_in<sign::mean_pressure, units::mmhg>);
    STATIC_REQUIRE(held_in<sign::pulse, units::per_minute>);
    STATIC_REQUIRE(held_in<sign::ecg_rate, units::per_minute>);
    STATIC_REQUIRE(held_in<sign::respiratory_rate, units::per_minute>);
    STATIC_REQUIRE(held_in<sign::saturation, units::percent>);
    STATIC_REQUIRE(held_in<sign::glucose, units::mg_per_dl>);
    STATIC_REQUIRE(held_in<sign::exhaled_co2, units::mmhg>);
    STATIC_REQUIRE(held_in<sign::temperature, units::celsius>);
    STATIC_REQUIRE(held_in<sign::coma_eye, units::point>);
    STATIC_REQUIRE(held_in<sign::coma_verbal, units::point>);
    STATIC_REQUIRE(held_in<sign::coma_motor, units::point>);
    STATIC_REQUIRE(held_in<sign::coma_total, units::point>);
    STATIC_REQUIRE(held_in<sign::responsiveness, units::responsiveness_code>);
}

TEST_CASE("codes of the national profile") {
    // LOINC and UCUM as in HL7's vital-signs profile; elements as in NEMSIS v3.5.0.
    STATIC_REQUIRE(describe(sign_id::systolic).loinc == "8480-6");
    STATIC_REQUIRE(describe(sign_id::diastolic).loinc == "8462-4");
    STATIC_REQUIRE(describe(sign_id::mean_pressure).loinc == "8478-0");
    STATIC_REQUIRE(describe(sign_id::respiratory_rate).loinc == "9279-1");
    STATIC_REQUIRE(describe(sign_id::temperature).loinc == "8310-5");
    STATIC_REQUIRE(describe(sign_id::temperature).ucum == "Cel");
    STATIC_REQUIRE(describe(sign_id::systolic).ucum == "mm[Hg]");
    STATIC_REQUIRE(describe(sign_id::coma_eye).element == "eVitals.19");
    STATIC_REQUIRE(describe(sign_id::coma_verbal).element == "eVitals.20");
    STATIC_REQUIRE(describe(sign_id::coma_motor).element == "eVitals.21");
    STATIC_REQUIRE(describe(sign_id::coma_total).element == "eVitals.23");
    STATIC_REQUIRE(describe(sign_id::responsiveness).element == "eVitals.26");
}

TEST_CASE("a vital set has a member of its own for every sign") {
    STATIC_REQUIRE(members_fit_their_signs());
    STATIC_REQUIRE(members_are_apart());
}

TEST_CASE("levels of responsiveness are codes from 1 to 4") {
    STATIC_REQUIRE(static_cast<int>(responsiveness_level::alert) == 1);
    STATIC_REQUIRE(static_cast<int>(responsiveness_level::unresponsive) == 4);
    STATIC_REQUIRE(name_of(responsiveness_level::alert) == "alert");
    STATIC_REQUIRE(name_of(responsiveness_level::verbal) == "verbal");
    STATIC_REQUIRE(name_of(responsiveness_level::painful) == "painful");
    STATIC_REQUIRE(name_of(responsiveness_level::unresponsive) == "unresponsive");
}
