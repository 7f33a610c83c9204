// Observations into the sets and reports they belong to.
// Used by read_fhir. Promises bounded memory, that readings are one set only where their times are
// the same, and that each reading's place in its file is known as long as its report is open.
#pragma once

#include "read/fhir_observation.hpp"
#include "read/report_gatherer.hpp"

#include <cstdint>
#include <string>
#include <unordered_map>
#include <vector>

namespace vitalproof::read {

/// Observations of one encounter are a report; those without one, of one subject and time, are a
/// report by the id of the first. Readings of one time are a set, until a sign comes twice; without
/// a time of day each Observation is a set. Sets come in order of their times, those without last.
class fhir_sets final : private report_taker {
public:
    fhir_sets(sink& into, const gathering_bounds& bounds, delimited_outcome& outcome,
              fhir_remarks& remarks);

    /// An Observation with readings, the so many-th resource of its file. `born` is the day its
    /// subject was born, where that is known.
    void add(const fhir_observation& from, std::uint64_t number,
             std::optional<std::chrono::local_days> born);

    /// Gives what is still open.
    void finish() { gatherer_.finish(); }

private:
    // What a set of one Observation does not say, while its report is open.
    struct origin {
        std::string place{};
        std::optional<cell_value> heart_rate{};  // one by no stated method
        bool whole_pressure = false;
        std::array<std::optional<std::size_t>, sign_count> components{};
    };
    struct named_moment {
        std::uint64_t key = 0;
        std::string report{};
    };

    void begin(const fhir_observation& from, std::uint64_t number);
    void put(const fhir_reading& reading, std::uint64_t number);
    std::string report_of(const fhir_observation& from, std::uint64_t number);
    std::optional<age_in_years> age_of(const std::string& report, const fhir_observation& from,
                                       std::optional<std::chrono::local_days> born);

    void take(care_report& report, std::uint64_t first_line) override;
    void identifier_again(std::uint64_t line) override { outcome_.identifiers_again.add(line); }
    void settle_heart_rates(std::vector<vital_set>& sets);
    void merge(std::vector<vital_set>& sets);
    void merge_into_last(const vital_set& one, std::size_t first);
    void complete_pressures();
    std::string place_of(std::uint64_t number, std::size_t sign) const;

    sink& into_;
    delimited_outcome& outcome_;
    fhir_remarks& remarks_;
    report_gatherer gatherer_;
    care_report* run_ = nullptr;  // that is put together, in its gatherer
    care_report merged_{};
    std::vector<std::uint32_t> given_{};  // signs of each merged set
    std::vector<bool> whole_{};           // whether its pressure has a place for both halves
    std::unordered_map<std::uint64_t, origin> origins_{};
    std::unordered_map<std::string, std::optional<age_in_years>> ages_{};
    std::vector<named_moment> moments_;  // each where its key says
};

}  // namespace vitalproof::read
