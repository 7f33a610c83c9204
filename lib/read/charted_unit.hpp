// The units a sign is charted in, by name, and their conversion to the unit it is held in.
// Used by column headers, cells that carry their own unit, and limits files.
// Promises that only a unit of the sign's own is ever converted; the arithmetic is units.hpp's.
#pragma once

#include <vitalproof/charted_text.hpp>
#include <vitalproof/signs.hpp>
#include <vitalproof/units.hpp>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace vitalproof::read {

enum class charted_unit : std::uint8_t {
    mmhg,
    kilopascal,
    per_minute,
    percent,
    fraction,
    mg_per_dl,
    mmol_per_l,
    celsius,
    fahrenheit,
    points,
    level,  ///< a responsiveness word or letter
};
inline constexpr std::size_t charted_units = 11;

/// As written in an output: `mmHg`, `°F`; empty for a level.
std::string_view symbol_of(charted_unit unit);

/// A text as unit names are compared: lower-case letters and digits, `per` for a slash, `pct` for
/// the percent sign, `deg` for the degree sign, everything else dropped.
std::string unit_key(std::string_view text);

/// The unit of that name, in any case and punctuation: `mm[Hg]`, `mgdl`, `mmol_l`, `deg C`, `/min`.
/// None when the whole text is not a unit.
std::optional<charted_unit> unit_named(std::string_view text);

/// The unit the library holds a sign in.
charted_unit held_unit(sign_id sign);

/// Whether a sign may be charted in a unit: a pressure in kPa, a glucose in mmol/L.
bool is_unit_of(sign_id sign, charted_unit unit);

/// Whether a sign is charted in more units than the held one.
bool has_other_units(sign_id sign);

/// The units a sign may be charted in, for a message: `mg/dL or mmol/L`.
std::string units_of(sign_id sign);

/// A value converted to the held unit. The unit must be one of the sign's; the held unit comes
/// back unchanged, bit for bit. `basis` matters for exhaled CO2 in percent only.
double to_held(sign_id sign, charted_unit unit, double value, const co2_percent_basis& basis = {});

/// A value with the unit that stands beside it, or alone where the unit may not be shown.
charted_text value_in_unit(std::string_view value, std::string_view unit);

}  // namespace vitalproof::read
