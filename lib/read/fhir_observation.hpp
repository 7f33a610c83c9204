// One FHIR Observation into the readings it holds and what they belong to.
// Used by read_fhir. Promises that nothing about the patient is kept but a number that tells two
// patients apart, and that an Observation which says the opposite of what it seems to is refused.
#pragma once

#include "read/fhir_value.hpp"
#include "read/timestamp.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read {

struct fhir_reading {
    sign_id sign = sign_id::systolic;
    bool heart_rate = false;  ///< a heart rate by no stated method
    method how = method::unknown;
    cell_value cell{};
    std::optional<std::size_t> component{};  ///< which one it stands in; none: the Observation
};

struct fhir_observation {
    std::string id{};           ///< empty where there is none, or it is not of FHIR's form
    std::string encounter{};    ///< the identifier of its encounter, or empty
    std::uint64_t subject = 0;  ///< a hash of whom it is about; 0 where it does not say
    timestamp time{};           ///< `clock`, or why there is none
    std::string_view time_member{};
    charted_text time_text{};
    bool whole_pressure = false;  ///< a panel that has a place for both halves
    bool withdrawn = false;       ///< entered in error, or cancelled: it has no readings
    std::vector<fhir_reading> readings{};
};

/// Why a resource cannot be read, and what to do.
struct fhir_refusal {
    std::string_view reason;
    std::string_view remedy;
};

/// Reads an Observation into `read`, whose buffers are used again; the refusal where it cannot be.
std::optional<fhir_refusal> read_fhir_observation(const json_object& resource, std::uint64_t number,
                                                  const co2_percent_basis& co2,
                                                  fhir_observation& read, fhir_remarks& remarks,
                                                  understanding& columns);

/// A hash of a reference to a patient, however it is written: `Patient/1`, with a server before it,
/// or what its entry calls it. Never 0.
std::uint64_t hash_of_reference(std::string_view reference);

/// FHIR's form of an id: 1 to 64 letters, digits, hyphens and points.
bool is_fhir_id(std::string_view text);

/// Whether an object, or any within it, has a member twice: no one can say which one counts.
bool has_member_twice(const json_element& value);

}  // namespace vitalproof::read
