// Charted text: what stands in a vital-sign cell is echoed, what may be a name never.
#include <vitalproof/charted_text.hpp>

#include <catch2/catch.hpp>

#include <type_traits>

using namespace vitalproof;

TEST_CASE("values, slips and words of the trade are echoed") {
    STATIC_REQUIRE(may_be_echoed("12O"));
    STATIC_REQUIRE(may_be_echoed("HI"));
    STATIC_REQUIRE(may_be_echoed("lo"));
    STATIC_REQUIRE(
        may_be_echoed("98.6 \xC2\xB0"
                      "F"));
    STATIC_REQUIRE(may_be_echoed("refused"));
    STATIC_REQUIRE(may_be_echoed("120/80"));
    STATIC_REQUIRE(may_be_echoed("110/P"));
    STATIC_REQUIRE(may_be_echoed(">600"));
    STATIC_REQUIRE(may_be_echoed("#REF!"));
    STATIC_REQUIRE(may_be_echoed("#NAME?"));
    STATIC_REQUIRE(may_be_echoed("5.5 mmol/L"));
    STATIC_REQUIRE(may_be_echoed("not recorded"));
    STATIC_REQUIRE(may_be_echoed("16 kPa"));
    STATIC_REQUIRE(may_be_echoed(""));
    STATIC_REQUIRE(may_be_echoed("1234567890123456"));
}

TEST_CASE("names and whatever might be one are not") {
    STATIC_REQUIRE(!may_be_echoed("Smith"));
    STATIC_REQUIRE(!may_be_echoed("SMITH"));
    STATIC_REQUIRE(!may_be_echoed("O'Hara"));
    STATIC_REQUIRE(!may_be_echoed("Low, Ann"));
    STATIC_REQUIRE(!may_be_echoed("72 Maria"));
    STATIC_REQUIRE(!may_be_echoed("Ng"));
    STATIC_REQUIRE(!may_be_echoed("Jos\xC3\xA9"));
    STATIC_REQUIRE(!may_be_echoed("72b"));
    STATIC_REQUIRE(!may_be_echoed("refusedx"));
    STATIC_REQUIRE(!may_be_echoed("#NAME"));
    STATIC_REQUIRE(!may_be_echoed("name"));
}

TEST_CASE("nor is a date, which may be one of birth") {
    STATIC_REQUIRE(!may_be_echoed("1950-05-05"));
    STATIC_REQUIRE(!may_be_echoed("5/5/1950"));
    STATIC_REQUIRE(!may_be_echoed("05.05.50"));
    STATIC_REQUIRE(!may_be_echoed("1950/5/5"));
    STATIC_REQUIRE(!may_be_echoed("31-12-1950 0"));
    STATIC_REQUIRE(!may_be_echoed("1,1950-05-05,72"));
    STATIC_REQUIRE(!may_be_echoed("(12/31/50)"));
}

TEST_CASE("what is no date is") {
    STATIC_REQUIRE(may_be_echoed("120/80/93"));
    STATIC_REQUIRE(may_be_echoed("110/70/83"));
    STATIC_REQUIRE(may_be_echoed("36.8.1"));
    STATIC_REQUIRE(may_be_echoed("36.8.12"));
    STATIC_REQUIRE(may_be_echoed("12-14"));
    STATIC_REQUIRE(may_be_echoed("1,120,80,70"));
    STATIC_REQUIRE(may_be_echoed("1-2/3"));
    STATIC_REQUIRE(may_be_echoed("3.9"));
    STATIC_REQUIRE(may_be_echoed("..-//"));
    STATIC_REQUIRE(may_be_echoed("80-"));
}

TEST_CASE("the errors of a spreadsheet are known by their whole text") {
    STATIC_REQUIRE(is_spreadsheet_error("#REF!"));
    STATIC_REQUIRE(is_spreadsheet_error("#n/a"));
    STATIC_REQUIRE(!is_spreadsheet_error("n/a"));
    STATIC_REQUIRE(!is_spreadsheet_error("#REF! 12"));
    STATIC_REQUIRE(!is_spreadsheet_error(""));
}

TEST_CASE("nor what is long, or no text") {
    STATIC_REQUIRE(!may_be_echoed("12345678901234567"));
    STATIC_REQUIRE(!may_be_echoed("12\n34"));
    STATIC_REQUIRE(
        !may_be_echoed(std::string_view("12\0"
                                        "34",
                                        5)));
    STATIC_REQUIRE(!may_be_echoed("\x7F"));
    STATIC_REQUIRE(!may_be_echoed("\xC2"));
    STATIC_REQUIRE(!may_be_echoed("\xB0"));
}

TEST_CASE("a text that may not be echoed is remembered by its length alone") {
    constexpr charted_text name("Example");
    STATIC_REQUIRE(!name.shown());
    STATIC_REQUIRE(name.text().empty());
    STATIC_REQUIRE(!name.empty());
    STATIC_REQUIRE(charted_text("12O").text() == "12O");
    STATIC_REQUIRE(charted_text().empty());
    STATIC_REQUIRE(std::is_trivially_copyable_v<charted_text>);
    CHECK(name.display() == "text of 7 characters");
    CHECK(charted_text("12O").display() == "12O");
}
