// The digits of a charted number, and what a cell's text may be taken for.
#include <vitalproof/checks/slip.hpp>
#include <vitalproof/explain/charted_digits.hpp>
#include <vitalproof/explain/charted_pair.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <string>
#include <utility>

using namespace vitalproof;

TEST_CASE("digits give back the number they were made from") {
    for (const double value : {1.0, 72.0, 98.6, 120.0, 0.98, 12080.0, 37.25}) {
        const auto digits = charted_digits::of(sign_id::systolic, value);
        REQUIRE(digits);
        CHECK(digits->held() == Approx(value));
    }
    // 98.6 °F, held as 37 °C, has the digits that were typed.
    const auto fahrenheit = charted_digits::of(sign_id::temperature, (98.7 - 32) / 1.8);
    REQUIRE(fahrenheit);
    CHECK(fahrenheit->count() == 3);
    CHECK(fahrenheit->at(0) == 9);
    CHECK_FALSE(charted_digits::of(sign_id::pulse, 71.2345));
    CHECK_FALSE(charted_digits::of(sign_id::pulse, 0));
    CHECK_FALSE(charted_digits::of(sign_id::pulse, std::nan("")));
}

TEST_CASE("cells are taken for two numbers, or for digits, only as a whole") {
    STATIC_REQUIRE(pair_in("120/80") == std::pair(120.0, 80.0));
    STATIC_REQUIRE(pair_in(" 120 - 80 ") == std::pair(120.0, 80.0));
    STATIC_REQUIRE(pair_in("120 80") == std::pair(120.0, 80.0));
    STATIC_REQUIRE_FALSE(pair_in("120"));
    STATIC_REQUIRE_FALSE(pair_in("120/P"));
    STATIC_REQUIRE_FALSE(pair_in("120/80/60"));
    STATIC_REQUIRE_FALSE(pair_in("1200/80"));
    STATIC_REQUIRE(number_behind_letters("12O") == 120.0);
    STATIC_REQUIRE(number_behind_letters("9l.5") == 91.5);
    STATIC_REQUIRE_FALSE(number_behind_letters("refused"));
    STATIC_REQUIRE_FALSE(number_behind_letters(""));
    STATIC_REQUIRE_FALSE(number_behind_letters("1.2.3"));
}

TEST_CASE("digits of every whole number below a thousand are told without a branch") {
    for (int value = 1; value < 1000; ++value) {
        const auto number = static_cast<real>(value);
        const checks::detail::three_digits d{number};
        const int hundreds = value / 100;
        const int tens = value / 10;
        CHECK(d.hundreds == static_cast<real>(hundreds));
        CHECK(d.tens == static_cast<real>(tens));
        CHECK(d.middle == static_cast<real>(value / 10 % 10));
        CHECK(d.units == static_cast<real>(value % 10));
        CHECK(checks::detail::is_whole_below_a_thousand(number));
        for (const real fraction : {0.1F, 0.3F, 0.5F, 0.9F}) {
            CHECK_FALSE(checks::detail::is_whole_below_a_thousand(number + fraction));
        }
    }
    CHECK_FALSE(checks::detail::is_whole_below_a_thousand(0));
    CHECK_FALSE(checks::detail::is_whole_below_a_thousand(1000));
}

TEST_CASE("digits change as texts do") {
    for (const double value : {7.0, 72.0, 120.0, 36.9, 0.98, 1204.0}) {
        const auto typed = *charted_digits::of(sign_id::systolic, value);
        std::string text;
        for (std::size_t i = 0; i < typed.count(); ++i) {
            text.push_back(static_cast<char>('0' + typed.at(i)));
        }
        const double one = std::stod(text) / value;  // 10 where there is one decimal
        for (std::size_t i = 0; i <= text.size(); ++i) {
            std::string with = text;
            CHECK(typed.with(i, 4) == Approx(std::stod(with.insert(i, "4")) / one));
        }
        for (std::size_t i = 0; i < text.size(); ++i) {
            std::string without = text;
            without.erase(i, 1);
            CHECK(typed.without(i) == Approx(without.empty() ? 0 : std::stod(without) / one));
            std::string mistyped = text;
            mistyped[i] = '6';
            CHECK(typed.mistyped(i, 6) == Approx(std::stod(mistyped) / one));
        }
        for (std::size_t i = 0; i + 1 < text.size(); ++i) {
            std::string transposed = text;
            std::swap(transposed[i], transposed[i + 1]);
            CHECK(typed.transposed(i) == Approx(std::stod(transposed) / one));
        }
    }
}
