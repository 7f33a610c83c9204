// A patient care report: the sets of one call and what is known about it.
// Used by readers, which fill it, and by examine(), which reads it. Promises to hold nothing that
// identifies a patient: the report's own identifier, the crew, and what decides if a value is true.
#pragma once

#include <vitalproof/vital_set.hpp>

#include <optional>
#include <string>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

struct care_report {
    std::string id{};    ///< as the source names it
    std::string crew{};  ///< crew or unit; empty where the source does not say
    std::optional<age_in_years> age{};
    facts known{};  ///< said of the whole report
    std::vector<vital_set> sets{};
};

}  // namespace vitalproof::inline VITALPROOF_ABI
