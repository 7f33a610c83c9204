// Converts numbers by the library's own units, for a comparison with other unit libraries.
// Reads lines of `value from to`, writes the converted value of each, 17 digits long.
#include <vitalproof/units.hpp>

#include <cstdio>
#include <iostream>
#include <optional>
#include <string>
#include <string_view>

namespace {

using namespace vitalproof;

template <class From, class To>
double between(double value) {
    return to<To>(quantity<From>::from_value(value)).value();
}

double glucose_mass(double value) { return to_mg_per_dl(value * mmol_per_L).value(); }
double glucose_amount(double value) { return to_mmol_per_l(value * mg_per_dL).value(); }
double co2_dry(double value) { return exhaled_co2_from_percent(value * percent).value(); }
double co2_at_body_conditions(double value) {
    return exhaled_co2_from_percent(value * percent, {.water_vapour = 47.0 * mmHg}).value();
}

struct conversion {
    std::string_view from;
    std::string_view to;
    double (*convert)(double);
};

constexpr conversion conversions[] = {
    {"mmHg", "kPa", between<units::mmhg, units::kilopascal>},
    {"kPa", "mmHg", between<units::kilopascal, units::mmhg>},
    {"mg/dL", "mmol/L", glucose_amount},
    {"mmol/L", "mg/dL", glucose_mass},
    {"degF", "degC", between<units::fahrenheit, units::celsius>},
    {"degC", "degF", between<units::celsius, units::fahrenheit>},
    {"fraction", "percent", between<units::fraction, units::percent>},
    {"percent", "fraction", between<units::percent, units::fraction>},
    {"percent_dry", "mmHg", co2_dry},
    {"percent_body", "mmHg", co2_at_body_conditions},
};

std::optional<double> convert(double value, std::string_view from, std::string_view to) {
    for (const conversion& known : conversions) {
        if (known.from == from && known.to == to) {
            return known.convert(value);
        }
    }
    return std::nullopt;
}

}  // namespace

int main() {
    double value = 0;
    std::string from;
    std::string to;
    while (std::cin >> value >> from >> to) {
        const auto converted = convert(value, from, to);
        if (!converted) {
            std::cerr << "no conversion from " << from << " to " << to << '\n';
            return 1;
        }
        std::printf("%.17g\n", *converted);
    }
    return std::cin.eof() ? 0 : 1;
}
