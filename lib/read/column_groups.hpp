// Columns that repeat with a number, so that one row holds several sets: `SBP 1, HR 1, SBP 2 ...`.
// Used when a header is understood, and to read a row once for each group. Promises that a number
// counts as one only where leaving it out leaves a known name, and where no number is missing
// before it.
#pragma once

#include "read/columns.hpp"

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read {

/// A header, and the number that may have been part of it.
struct numbered_name {
    std::string name;
    unsigned group = 0;
};

/// The ways to take a number of one or two digits out of a header, with the words that go with it:
/// `Vitals 2 - SBP` is SBP 2, `SpO21` is SpO2 1 or SpO 21. Numbers that stand last come first.
std::vector<numbered_name> without_number(std::string_view header);

/// Whether a column of that role may repeat. A report has one identifier, crew and age, and a row
/// of the long form one reading.
bool may_repeat(column_role role);

/// Decides which numbers are groups, and to which group columns without a number belong: vital
/// signs to the first, or to one before it where that has them already; all else to every group
/// that has none of its own. What a mapping says is a group is one. With one group alone there is
/// nothing to tell apart, and no column keeps a number. The groups in their order, none where
/// nothing repeats.
std::vector<unsigned> settle_groups(std::span<column* const> columns);

/// The columns of each group: its own, and those without a group that it has no own of. None
/// where nothing repeats.
std::vector<understanding> by_group(const understanding& columns);

}  // namespace vitalproof::read
