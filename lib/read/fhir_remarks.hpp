// What a user should know of how a FHIR file was read, counted while it is.
// Filled by read_fhir's parts. Promises bounded memory: of codes that are not known the first 64
// are named, and all are counted.
#pragma once

#include "read/delimited.hpp"

#include <cstdint>
#include <string_view>

namespace vitalproof::read {

struct fhir_remarks {
    std::uint32_t seen = 0;              ///< signs that a resource spoke of, a bit each
    std::uint32_t unit_assumed = 0;      ///< signs read in a unit that was not stated
    std::uint64_t unit_by_name = 0;      ///< values whose unit has a name, and no UCUM code
    tally_of_lines unusable_units{};     ///< values in a unit that is none of their sign's
    std::uint64_t value_and_reason = 0;  ///< values with a reason why there is none
    std::uint64_t without_encounter = 0;
    std::uint64_t withdrawn = 0;     ///< entered in error, or cancelled
    std::uint64_t heart_as_ecg = 0;  ///< heart rates of no method beside a pulse
    std::uint64_t heart_as_pulse = 0;
    std::vector<counted_code> unknown_codes{};
    std::uint64_t other_unknown_codes = 0;

    void sign_seen(std::string_view code, sign_id sign, std::optional<charted_unit> unit,
                   understanding& columns);
    void unknown_code(std::string_view code);

    /// Puts what was counted into words.
    void say(delimited_outcome& outcome) const;
};

}  // namespace vitalproof::read
