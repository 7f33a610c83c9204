// Columns without a stated unit: read in the unit that their values alone allow, and said.
#include "read_support.hpp"

#include <catch2/catch.hpp>

namespace {

using namespace reading;
using read::charted_unit;

// A file of one sign's column with these values, over and over until there are `rows`.
file column_of(std::string_view header, const std::vector<std::string>& values, std::size_t rows) {
    std::string text = "report," + std::string(header) + '\n';
    for (std::size_t i = 0; i < rows; ++i) {
        text += 'R' + std::to_string(i) + ',' + values[i % values.size()] + '\n';
    }
    return file(text);
}

const read::column& sign_column(const file& f) { return f.outcome.columns.columns.at(1); }

}  // namespace

TEST_CASE("a whole column in another unit is read in that unit and said once") {
    struct whole_column {
        std::string_view header;
        std::vector<std::string> values;
        charted_unit unit;
    };
    const auto c = GENERATE(values<whole_column>({
        {"temp", {"98.6", "97.9", "101.2", ""}, charted_unit::fahrenheit},
        {"spo2", {"0.97", "0.99", "0.88"}, charted_unit::fraction},
        {"glucose", {"5.4", "6.1", "11.2", "4"}, charted_unit::mmol_per_l},
        {"etco2", {"4.7", "5.1", "3.9"}, charted_unit::kilopascal},
        {"sbp", {"16.0", "18.4", "13.2"}, charted_unit::kilopascal},
        {"dbp", {"10.6", "9.8", "11.0"}, charted_unit::kilopascal},
    }));
    const file f = column_of(c.header, c.values, 40);
    CAPTURE(c.header, sign_column(f).remark);
    CHECK(sign_column(f).unit == c.unit);
    CHECK(sign_column(f).remark.find("read so, since no unit is stated") != std::string::npos);
    CHECK(f.outcome.rows_read == 40);
}

TEST_CASE("values are converted and keep what was charted") {
    const file f = column_of("temp", {"98.6"}, 20);
    const vital_set& set = f.only_set();
    CHECK(set.temperature.raw() == Approx(37.0));
    CHECK(set.charted[sign::temperature{}].text() ==
          "98.6 \xC2\xB0"
          "F");
}

TEST_CASE("a column that is not nearly all in another unit stays in its own") {
    CHECK(sign_column(column_of("temp", {"98.6"}, 19)).unit == charted_unit::celsius);
    CHECK(sign_column(column_of("temp", {"98.6", "36.8"}, 60)).unit == charted_unit::celsius);
    CHECK(sign_column(column_of("temp", {"36.8"}, 60)).unit == charted_unit::celsius);
    CHECK(sign_column(column_of("glucose", {"105", "98", "22"}, 60)).unit ==
          charted_unit::mg_per_dl);
    // Nine of ten are enough, and the tenth is then asked about.
    const file f = column_of(
        "temp", {"98.6", "99", "97", "98", "98.2", "97.7", "98.1", "99.3", "100.4", "36.8"}, 60);
    CHECK(sign_column(f).unit == charted_unit::fahrenheit);
}

TEST_CASE("a column that changes its unit further down is not called whole") {
    const auto changing = [](std::string_view header) {
        std::string text = "report," + std::string(header) + '\n';
        for (int i = 0; i < 40'000; ++i) {
            text += 'R' + std::to_string(i) + (i < 20'000 ? ",98.6\n" : ",36.8\n");
        }
        return file(text);
    };
    CHECK(!sign_column(changing("Temp (C)")).doubt);
    CHECK(sign_column(changing("temp")).unit == charted_unit::celsius);
}

TEST_CASE("a column of whole pressures without a unit is read in the one its values allow") {
    const file f = column_of("BP", {"16.0/10.6", "18.4/11.2"}, 20);
    CHECK(sign_column(f).unit == charted_unit::kilopascal);
    CHECK(f.only_set().systolic.raw() == Approx(120.01).margin(0.01));
    CHECK(f.only_set().diastolic.raw() == Approx(79.51).margin(0.01));
}

TEST_CASE("a stated unit is never overruled") {
    const file f = column_of("Temp (C)", {"98.6"}, 60);
    CHECK(sign_column(f).unit == charted_unit::celsius);
    CHECK(f.only_set().temperature.raw() == Approx(98.6));
    REQUIRE(sign_column(f).doubt);
    CHECK(sign_column(f).doubt->fits == charted_unit::fahrenheit);
    CHECK(sign_column(f).remark.find("fit °F, not the stated °C: read as stated") !=
          std::string::npos);
    CHECK(!sign_column(column_of("Temp (C)", {"36.8"}, 60)).doubt);
}
