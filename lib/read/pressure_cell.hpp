// A cell with a whole blood pressure, such as `120/80 (93)`, into its readings.
// Used by the readers of rows for columns and rows like "BP". Promises that each part is read as a
// cell of its own sign would be, and that a text which is no pressure makes no number of either
// half.
#pragma once

#include "read/cell.hpp"
#include <vitalproof/vital_set.hpp>

#include <string_view>

namespace vitalproof::read {

struct pressure_cell {
    cell_value systolic{};
    cell_value diastolic{};
    cell_value mean{};  ///< blank where the cell has none
};

/// Reads `120/80`, `110/P`, `110 palp`, `120/`, `/80`, and with a mean `120/80 (93)` and
/// `120/80/93`, blanks anywhere between. A unit behind any part is that of all parts. An absence
/// (`refused`) is one of both halves; a lone number could be either, so that both are unreadable.
/// Each half that is charted keeps the text of the whole cell where that may be shown. `rules.sign`
/// does not count.
pressure_cell read_pressure_cell(std::string_view text, const cell_rules& rules);

inline bool is_palpated(const pressure_cell& cell) {
    return cell.systolic.palpated || cell.diastolic.palpated;
}

/// Puts the readings into a set, the mean only where the cell has one.
void put_pressure(vital_set& set, const pressure_cell& cell, method how);

/// A mean cannot be felt: where there is one, it was obtained in another way.
void note_palpated(vital_set& set);

}  // namespace vitalproof::read
