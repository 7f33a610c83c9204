// What every finding's text passes through on its way to a file: the look at its bytes, numbers,
// cells and strings.
#include "write/csv.hpp"
#include "write/json.hpp"

#include <catch2/catch.hpp>

#include <array>
#include <charconv>
#include <cmath>
#include <limits>
#include <string>
#include <string_view>

using namespace vitalproof;
using namespace vitalproof::write;

namespace {

std::string number_of(double value) {
    text_block out;
    append_json_number(out, value);
    return std::string(out.text());
}

std::string string_of(std::string_view text) {
    text_block out;
    append_json_string(out, text);
    return std::string(out.text());
}

std::string cell_of(std::string_view text) {
    text_block out;
    append_cell(out, text);
    return std::string(out.text());
}

std::string shortest(double value) {
    std::array<char, 64> text{};
    const auto end =
        std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
    return {text.data(), end.ptr};
}

}  // namespace

TEST_CASE("a special byte is seen wherever it stands in a text of any length") {
    for (std::size_t size = 0; size < 70; ++size) {
        const std::string plain(size, 'x');
        CHECK(!has_special(plain, is_not_plain));
        CHECK(first_special(plain, is_not_plain) == size);
        for (std::size_t at = 0; at < size; ++at) {
            for (const char special : {'"', '\\', '\n', '\x7F', '\xC2'}) {
                std::string text = plain;
                text[at] = special;
                REQUIRE(has_special(text, is_not_plain));
                REQUIRE(first_special(text, is_not_plain) == at);
            }
        }
    }
}

TEST_CASE("numbers are as short as they can be read back") {
    for (unsigned n = 0; n < 30'000; ++n) {
        for (const double steps : {1.0, 10.0, 100.0, 1000.0}) {
            REQUIRE(number_of(n / steps) == shortest(n / steps));
        }
    }
    for (const double value :
         {0.1 + 0.2, 999'999.999, 1e6, 1'000'000.5, 123'456'789.0, -0.5, -7.0}) {
        CHECK(number_of(value) == shortest(value));
    }
    CHECK(number_of(-0.0) == "-0");
    CHECK(number_of(std::numeric_limits<double>::infinity()) == "null");
    CHECK(number_of(std::nan("")) == "null");
}

TEST_CASE("integers have the digits of std::to_string") {
    for (const long long value :
         {0LL, 9LL, 10LL, 99LL, 100LL, 999LL, 1000LL, 1005LL, 10'000LL, 1'000'000LL, -1LL, -1000LL,
          std::numeric_limits<long long>::max(), std::numeric_limits<long long>::min()}) {
        text_block out;
        append_integer(out, value);
        CHECK(out.text() == std::to_string(value));
    }
}

TEST_CASE("strings and cells are escaped where they must be and nowhere else") {
    CHECK(string_of("") == "\"\"");
    CHECK(string_of("Set 2, 14:32") == "\"Set 2, 14:32\"");
    CHECK(string_of("36.6 °C") == "\"36.6 \\u00b0C\"");
    CHECK(string_of("a\"b\\c\n") == "\"a\\\"b\\\\c\\n\"");
    CHECK(cell_of("").empty());
    CHECK(cell_of("72 mmHg") == "72 mmHg");
    CHECK(cell_of("Set 2, 14:32") == "\"Set 2, 14:32\"");
    CHECK(cell_of("36.6 °C") == "36.6 °C");
    CHECK(cell_of(" x") == "\" x\"");
    CHECK(cell_of("say \"x\"") == "\"say \"\"x\"\"\"");
    CHECK(cell_of("=SUM(A1)") == "\"'=SUM(A1)\"");
    CHECK(cell_of("-12.5") == "-12.5");
    CHECK(cell_of("-x") == "\"'-x\"");
}
