// The units of vital signs as Boost.Units quantities, and the conversions between them.
// Used by whoever makes a reading from a number. Promises that two units never meet unconverted:
// mmHg with kPa, mg/dL with mmol/L, percent with points are different types.
#pragma once

#include <vitalproof/config.hpp>

#include <boost/units/absolute.hpp>
#include <boost/units/base_dimension.hpp>
#include <boost/units/base_unit.hpp>
#include <boost/units/conversion.hpp>
#include <boost/units/derived_dimension.hpp>
#include <boost/units/make_scaled_unit.hpp>
#include <boost/units/physical_dimensions/amount.hpp>
#include <boost/units/physical_dimensions/frequency.hpp>
#include <boost/units/physical_dimensions/length.hpp>
#include <boost/units/physical_dimensions/mass_density.hpp>
#include <boost/units/physical_dimensions/pressure.hpp>
#include <boost/units/physical_dimensions/time.hpp>
#include <boost/units/quantity.hpp>
#include <boost/units/systems/si/frequency.hpp>
#include <boost/units/systems/si/pressure.hpp>
#include <boost/units/systems/temperature/celsius.hpp>
#include <boost/units/systems/temperature/fahrenheit.hpp>

#include <string>

namespace vitalproof::inline VITALPROOF_ABI {

template <class Unit, class Number = double>
using quantity = boost::units::quantity<Unit, Number>;

namespace units {

// Boost numbers base units and dimensions globally; ours keep to 62001 and up.
// Percent, points and responsiveness have dimensions of their own: a dimensionless quantity
// would turn into a double, and so into each other, without a word.
struct percent_dimension : boost::units::base_dimension<percent_dimension, 62001> {};
struct point_dimension : boost::units::base_dimension<point_dimension, 62002> {};
struct responsiveness_dimension : boost::units::base_dimension<responsiveness_dimension, 62003> {};
using amount_density_dimension =
    boost::units::derived_dimension<boost::units::length_base_dimension, -3,
                                    boost::units::amount_base_dimension, 1>::type;

struct mmhg_base : boost::units::base_unit<mmhg_base, boost::units::pressure_dimension, 62011> {};
struct per_minute_base
    : boost::units::base_unit<per_minute_base, boost::units::frequency_dimension, 62012> {};
struct percent_base
    : boost::units::base_unit<percent_base, percent_dimension::dimension_type, 62013> {};
struct fraction_base
    : boost::units::base_unit<fraction_base, percent_dimension::dimension_type, 62014> {};
struct mg_per_dl_base
    : boost::units::base_unit<mg_per_dl_base, boost::units::mass_density_dimension, 62015> {};
struct mmol_per_l_base : boost::units::base_unit<mmol_per_l_base, amount_density_dimension, 62016> {
};
struct point_base : boost::units::base_unit<point_base, point_dimension::dimension_type, 62017> {};
struct responsiveness_base
    : boost::units::base_unit<responsiveness_base, responsiveness_dimension::dimension_type,
                              62018> {};
struct minute_base : boost::units::base_unit<minute_base, boost::units::time_dimension, 62019> {};

using mmhg = mmhg_base::unit_type;
using kilopascal =
    boost::units::make_scaled_unit<boost::units::si::pressure,
                                   boost::units::scale<10, boost::units::static_rational<3>>>::type;
using per_minute = per_minute_base::unit_type;
using percent = percent_base::unit_type;
using fraction = fraction_base::unit_type;
using mg_per_dl = mg_per_dl_base::unit_type;
using mmol_per_l = mmol_per_l_base::unit_type;
// A body temperature is a point on a scale, not a difference: hence `absolute`.
using celsius = boost::units::absolute<boost::units::celsius::temperature>;
using fahrenheit = boost::units::absolute<boost::units::fahrenheit::temperature>;
using point = point_base::unit_type;
using responsiveness_code = responsiveness_base::unit_type;
using minute = minute_base::unit_type;  // between readings; the calendar is std::chrono's

}  // namespace units

// What a user multiplies a number by: `120.0 * mmHg`, `36.6 * degC`.
inline constexpr units::mmhg mmHg{};
inline constexpr units::kilopascal kPa{};
inline constexpr units::per_minute per_minute{};
inline constexpr units::percent percent{};
inline constexpr units::fraction fraction{};
inline constexpr units::mg_per_dl mg_per_dL{};
inline constexpr units::mmol_per_l mmol_per_L{};
inline constexpr units::celsius degC{};
inline constexpr units::fahrenheit degF{};
inline constexpr units::point points{};
inline constexpr units::minute minute{};

/// Molar mass of glucose in g/mol; 1 mmol/L is 18.0156 mg/dL. Source: UCUM reference
/// implementation's example (100 mg/dL is 5.5507449 mmol/L at 180.156). The factors 18 and
/// 18.0182 seen elsewhere are not mixed in.
inline constexpr double glucose_grams_per_mole = 180.156;

/// Glucose by mass from glucose by amount. Exact to double rounding; NaN stays NaN.
constexpr quantity<units::mg_per_dl> to_mg_per_dl(quantity<units::mmol_per_l> amount) {
    return quantity<units::mg_per_dl>::from_value(amount.value() * glucose_grams_per_mole / 10);
}

/// Glucose by amount from glucose by mass; the inverse of to_mg_per_dl.
constexpr quantity<units::mmol_per_l> to_mmol_per_l(quantity<units::mg_per_dl> mass) {
    return quantity<units::mmol_per_l>::from_value(mass.value() * 10 / glucose_grams_per_mole);
}

/// How a CO2 percentage becomes a pressure: percent of dry gas, or of gas at body conditions,
/// where water vapour takes 47 mmHg (common practice, no source). At 760 mmHg, 5 % is 38 or 35.65,
/// so "%" alone is ambiguous and the assumption travels with the conversion.
struct co2_percent_basis {
    quantity<units::mmhg> barometric = 760.0 * mmHg;
    quantity<units::mmhg> water_vapour = 0.0 * mmHg;
};

/// Exhaled CO2 pressure from a volume percentage under the stated basis.
constexpr quantity<units::mmhg> exhaled_co2_from_percent(quantity<units::percent> share,
                                                         co2_percent_basis basis = {}) {
    return (share.value() / 100) * (basis.barometric - basis.water_vapour);
}

/// Any unit of the same dimension converted to `To`: kPa to mmHg, fraction to percent, °F to °C.
/// Does not compile across dimensions.
template <class To, class From>
constexpr quantity<To> to(quantity<From> value) {
    return quantity<To>(value);
}

}  // namespace vitalproof::inline VITALPROOF_ABI

// 1 mmHg = 133.322387415 Pa, the conventional definition to which UCUM's 0.133322 kPa is rounded.
// Boost.Units' own metric::mmHg is not used: it carries 133.322 and belongs to another system.
BOOST_UNITS_DEFINE_CONVERSION_FACTOR(vitalproof::units::mmhg_base, boost::units::si::pressure,
                                     double, 133.322387415);
BOOST_UNITS_DEFAULT_CONVERSION(vitalproof::units::mmhg_base, boost::units::si::pressure);
BOOST_UNITS_DEFINE_CONVERSION_FACTOR(vitalproof::units::fraction_base,
                                     vitalproof::units::percent_base::unit_type, double, 100.0);
