// Texts that are numbers, by the careful way and by the fast one, and those that are none.
#include "read/number.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <optional>
#include <random>
#include <string>
#include <string_view>
#include <vector>

namespace {

using namespace vitalproof::read;
using namespace std::literals;

// The fast way, given the readable bytes behind the text that it asks for; and the one that asks
// for none, given a text behind which memory ends, which a sanitizer watches.
std::optional<double> short_decimal(const std::string& text, std::string_view behind = ",9999999") {
    const std::string padded = text + std::string(behind);
    double value = 0;
    const bool is_short =
        parse_short_decimal(std::string_view(padded).substr(0, text.size()), value);
    const std::vector<char> alone(text.begin(), text.end());
    double within = 0;
    REQUIRE(parse_short_decimal_within({alone.data(), alone.size()}, within) == is_short);
    if (!is_short) {
        return std::nullopt;
    }
    CHECK(within == value);
    return value;
}

}  // namespace

TEST_CASE("numbers in full") {
    CHECK(parse_number("120") == 120.0);
    CHECK(parse_number("98.6") == 98.6);
    CHECK(parse_number("+5") == 5.0);
    CHECK(parse_number("-5") == -5.0);
    CHECK(parse_number(".5") == 0.5);
    CHECK(parse_number("5.") == 5.0);
    CHECK(parse_number("007") == 7.0);
    CHECK(parse_number("1e300") == 1e300);
    CHECK(parse_number("1.2E+02") == 120.0);
    CHECK(parse_number("123456789012345678901234567890") == 123456789012345678901234567890.0);
    CHECK(parse_number("0.1234567890123456789") == 0.1234567890123456789);
}

TEST_CASE("what is no number in full") {
    for (const auto text : {"",         "-",      "+",    ".",    "-.",    "inf",         "-inf",
                            "infinity", "nan",    "-nan", "0x1F", "1e999", "-1e999",      "12O",
                            "120/",     "120/80", "1,5",  "1 2",  " 1",    "1 ",          "--1",
                            "+-1",      "1.2.3",  "1e",   "e5",   "1e+",   "\xEF\xBC\x91"}) {
        INFO("text: " << text);
        CHECK_FALSE(parse_number(text).has_value());
    }
}

TEST_CASE("a comma that only groups thousands") {
    CHECK(parse_number_with_comma("1,200", false) == 1200.0);
    CHECK(parse_number_with_comma("12,200", false) == 12200.0);
    CHECK(parse_number_with_comma("1,234,567", false) == 1234567.0);
    CHECK(parse_number_with_comma("36.8", false) == 36.8);
    for (const auto text : {"1,5", "36,8", "1,20", "1,2000", "1200,000", ",200", "1,", "1,,200",
                            "0,120", "1,200.5", "1,2O0", "1,200,", "1 200", "1,200,00", ","}) {
        INFO(text);
        CHECK_FALSE(parse_number_with_comma(text, false).has_value());
    }
}

TEST_CASE("a comma that is the decimal sign") {
    CHECK(parse_number_with_comma("36,8", true) == 36.8);
    CHECK(parse_number_with_comma("36.8", true) == 36.8);
    CHECK(parse_number_with_comma("-36,8", true) == -36.8);
    CHECK(parse_number_with_comma("0,985", true) == 0.985);  // a group cannot follow a zero
    CHECK(parse_number_with_comma("1234,567", true) == 1234.567);
    CHECK(parse_number_with_comma("98", true) == 98.0);
    for (const auto text : {"1,200", "+1,200", "1,234,567", "1,2,3", "1.200,5", "1,2.3", "36,8x",
                            ",", "36,,8", "36,8 ", "0,00000000000000000000000000000001"}) {
        INFO(text);
        CHECK_FALSE(parse_number_with_comma(text, true).has_value());
    }
}

TEST_CASE("minus zero is zero") {
    CHECK_FALSE(std::signbit(parse_number("-0").value()));
    CHECK_FALSE(std::signbit(parse_number("-0.00").value()));
    CHECK_FALSE(std::signbit(parse_number("-0e5").value()));
}

TEST_CASE("the fast way takes digits with at most one point, nothing else") {
    CHECK(short_decimal("0") == 0.0);
    CHECK(short_decimal("120") == 120.0);
    CHECK(short_decimal("98.6") == 98.6);
    CHECK(short_decimal(".5") == 0.5);
    CHECK(short_decimal("5.") == 5.0);
    CHECK(short_decimal("12345678") == 12345678.0);
    CHECK(short_decimal("0.000001") == 0.000001);
    for (const auto text : {"", ".", "..", "1.2.", "-1", "+1", " 1", "1 ", "1e5", "12O", "l2", "/1",
                            ":1", "1,5", "123456789", "\xB2", "A"}) {
        INFO("text: " << text);
        CHECK_FALSE(short_decimal(text).has_value());
    }
}

TEST_CASE("the fast way does not look at what follows") {
    for (const char filler : {'9', '.', '\0', '\xFF', '0'}) {
        const std::string behind(8, filler);
        CHECK(short_decimal("7", behind) == 7.0);
        CHECK(short_decimal("36.6", behind) == 36.6);
        CHECK_FALSE(short_decimal("x", behind).has_value());
    }
}

TEST_CASE("both ways and the C library agree to the last bit") {
    std::mt19937_64 random(5);
    int fast = 0;
    for (int round = 0; round < 20000; ++round) {
        char text[40];
        const double value = static_cast<double>(random() % 10'000'000) / 1000;
        std::snprintf(text, sizeof text, "%.*f", static_cast<int>(random() % 6), value);
        const double expected = std::strtod(text, nullptr);
        INFO("text: " << text);
        REQUIRE(parse_number(text) == expected);
        if (const auto quick = short_decimal(text)) {
            REQUIRE(*quick == expected);
            ++fast;
        }
        std::snprintf(text, sizeof text, "%.17g",
                      std::ldexp(value, static_cast<int>(random() % 2000) - 1000));
        REQUIRE(parse_number(text) == std::strtod(text, nullptr));
    }
    CHECK(fast > 10000);
}
