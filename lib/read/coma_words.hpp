// The parts of the coma score as they are charted in words.
// Used by read_cell. Promises that a number and words that say another are no score.
#pragma once

#include <vitalproof/signs.hpp>

#include <optional>
#include <string_view>

namespace vitalproof::read {

/// The points of a part in words, with its number before them or without: `Opens Eyes to verbal
/// stimulation (All Age Groups)`, `4 - Spontaneous`, `5: localizes pain`. None for other signs.
///
/// The words are those of the national standard's lists (NEMSIS v3.5.0 and v3.5.1, eVitals.19 to
/// eVitals.21) and, common practice, no source, short forms of them. `None` is not among them: it
/// may as well stand for an empty cell.
std::optional<int> points_named(sign_id sign, std::string_view text);

/// Whether a part, or the whole, could not be tested, which is neither the lowest score nor a gap:
/// `NT`, of speech that a tube forbids `T` or `1T`, of eyes that swelling closes `C` or `1C`.
/// Common practice, no source.
bool is_not_testable(sign_id sign, std::string_view text);

}  // namespace vitalproof::read
