// A patient care report: the sets of one call and what is known about it.
// Used by readers, which fill it, and by examine(), which reads it. Promises to hold nothing that
// identifies a patient: the report's own identifier, the crew, and what decides if a value is true.
#pragma once

#include <vitalproof/call.hpp>

#include <array>
#include <chrono>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

/// Where each reading of a set stands in a source whose lines do not say it; empty where one does.
using places_of_set = std::array<std::string, sign_count>;

struct care_report {
    std::string id{};        ///< as the source names it
    std::string crew{};      ///< crew or unit; empty where the source does not say
    std::string device{};    ///< the monitor, as the source names it
    std::string incident{};  ///< the call, which several crews may have reports of
    std::optional<age_in_years> age{};
    facts known{};                      ///< said of the whole report
    std::optional<call_record> call{};  ///< where the source carries it
    std::vector<vital_set> sets{};
    /// The moment by which all of it had happened: when it is audited.
    std::optional<std::chrono::sys_seconds> as_of{};
    std::vector<places_of_set> places{};  ///< one a set, or none at all

    /// Lends each the other's buffers. Member by member, since a third report in between would
    /// move every one of them three times.
    friend void swap(care_report& a, care_report& b) noexcept {
        a.id.swap(b.id);
        a.crew.swap(b.crew);
        a.device.swap(b.device);
        a.incident.swap(b.incident);
        a.age.swap(b.age);
        std::swap(a.known, b.known);
        a.call.swap(b.call);
        a.sets.swap(b.sets);
        a.as_of.swap(b.as_of);
        a.places.swap(b.places);
    }
};

}  // namespace vitalproof::inline VITALPROOF_ABI
