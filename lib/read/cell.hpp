// A cell's text into what it says of a vital sign.
// Used by every reader whose values arrive as text. Promises that an absence with a reason, HI and
// LO, and a text that is no value are never mistaken for a number or for each other.
#pragma once

#include "read/charted_unit.hpp"
#include <vitalproof/vital_set.hpp>

#include <string_view>

namespace vitalproof::read {

/// What a column says about each of its cells.
struct cell_rules {
    sign_id sign = sign_id::systolic;
    charted_unit unit = charted_unit::mmhg;
    /// The header names the unit. Then a cell that carries another one contradicts it and is
    /// unreadable; without it, a cell's own unit decides.
    bool unit_stated = false;
    co2_percent_basis co2{};     ///< for exhaled CO2 in percent
    bool decimal_comma = false;  ///< `36,8` is 36.8; else a comma may only group thousands
};

/// What a cell says, before it is given to its sign.
struct cell_value {
    reading_state state = reading_state::absent;
    absence why = absence::blank;
    double value = 0;        ///< in the held unit; meaningful in state `number`
    bool palpated = false;   ///< charted as P or 110/P: the pressure was felt at the pulse
    facts known{};           ///< what a remark behind the number says of the patient
    charted_text charted{};  ///< kept unless it is a plain number in the held unit, or blank
};

/// Reads one cell. Surrounding blanks do not count, be they non-breaking or of full width.
///
/// Absent: empty, dashes, `NaN`, `null` (blank); `N/A`, `NA`, `not applicable`; `refused`;
/// `unable`, `unable to complete`; `not recorded`, `not taken`; `exam finding not present`; a part
/// of the coma score that could not be tested (coma_words.hpp). Above and below: `HI`, `HIGH`,
/// `>600`; `LO`, `LOW`, `<20`. A diastolic `P` or `palp` is not applicable. A level of
/// responsiveness is A, V, P, U or its word; a digit is not, since scales run both ways. A part of
/// the coma score may stand in words. Everything else is a number with or without its unit, its
/// sign's name and a remark (remark.hpp), or unreadable, `inf` and the errors of spreadsheets
/// included: `#N/A` is a look-up that failed, not a crew's `N/A`.
cell_value read_cell(std::string_view text, const cell_rules& rules);

/// The reading of sign S that a cell amounts to.
template <VitalSign S>
reading<S> to_reading(const cell_value& cell, method how = method::unknown) {
    reading<S> r = reading<S>::absent(cell.why);
    switch (cell.state) {
        case reading_state::absent:
            break;
        case reading_state::number:
            r = reading<S>(value_of<S>::from_value(cell.value));
            break;
        case reading_state::above:
            r = reading<S>::above();
            break;
        case reading_state::below:
            r = reading<S>::below();
            break;
        case reading_state::unreadable:
            r = reading<S>::unreadable();
            break;
    }
    return r.set_method(how);
}

/// Gives a cell to its sign: the reading, the text it was charted in, and what a remark says of the
/// set.
template <VitalSign S>
void put_cell(vital_set& set, S sign, const cell_value& cell, method how = method::unknown) {
    set[sign] = to_reading<S>(cell, how);
    set.charted.put(sign, cell.charted);
    set.known = set.known.overlaid_by(cell.known);
}

}  // namespace vitalproof::read
