// The units signs are charted in, by their names and symbols.
#include "read/charted_unit.hpp"

#include <catch2/catch.hpp>

using namespace vitalproof;
using namespace vitalproof::read;

TEST_CASE("units by their names") {
    CHECK(unit_named("mm[Hg]") == charted_unit::mmhg);
    CHECK(unit_named("kPa") == charted_unit::kilopascal);
    CHECK(unit_named("/min") == charted_unit::per_minute);
    CHECK(unit_named("BPM") == charted_unit::per_minute);
    CHECK(unit_named("%") == charted_unit::percent);
    CHECK(unit_named("mg/dL") == charted_unit::mg_per_dl);
    CHECK(unit_named("mg_dl") == charted_unit::mg_per_dl);
    CHECK(unit_named("mmol_l") == charted_unit::mmol_per_l);
    CHECK(unit_named("mmol/L") == charted_unit::mmol_per_l);
    CHECK(unit_named("°C") == charted_unit::celsius);
    CHECK(unit_named("ºF") == charted_unit::fahrenheit);
    CHECK(unit_named("℃") == charted_unit::celsius);
    CHECK(unit_named("degF") == charted_unit::fahrenheit);
    CHECK(unit_named("Fahrenheit") == charted_unit::fahrenheit);
    for (const auto text : {"", "min", "x", "mmHg kPa", "°", "/"}) {
        CHECK_FALSE(unit_named(text).has_value());
    }
}

TEST_CASE("every symbol names its unit, and every sign has its held unit") {
    for (const sign_info& sign : sign_table) {
        const charted_unit held = held_unit(sign.id);
        CHECK(symbol_of(held) == sign.unit);
        CHECK(is_unit_of(sign.id, held));
        CHECK(to_held(sign.id, held, 97.3) == 97.3);
        if (held != charted_unit::level) {
            CHECK(unit_named(symbol_of(held)) == held);
        }
    }
    CHECK(units_of(sign_id::glucose) == "mg/dL or mmol/L");
    CHECK(units_of(sign_id::responsiveness) == "no unit");
    CHECK_FALSE(is_unit_of(sign_id::saturation, charted_unit::mmhg));
    CHECK_FALSE(is_unit_of(sign_id::glucose, charted_unit::percent));
}
