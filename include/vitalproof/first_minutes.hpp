// The first minutes of life, when a saturation of 60 % is as it should be.
// Used by checks of newborns. Promises an answer only where the age is charted in minutes: everyone
// else is held to the bounds of later life.
#pragma once

#include <vitalproof/care_report.hpp>

#include <algorithm>
#include <chrono>
#include <cstdint>
#include <optional>

namespace vitalproof::inline VITALPROOF_ABI {

using minutes_of_age = std::chrono::duration<double, std::chrono::minutes::period>;

/// How old a patient who was just born was when the set was taken: the age as charted, which holds
/// from when the crew reached the patient or, where that is not known, from the first set that has
/// a time (common practice, no source). A set without a time is taken for one of the beginning.
constexpr std::optional<minutes_of_age> age_of_just_born(const care_report& r,
                                                         const vital_set& set) {
    if (!facts_of_age(r.age).is(fact::just_born)) {
        return std::nullopt;
    }
    const auto charted = std::chrono::duration_cast<minutes_of_age>(*r.age);
    if (!set.taken_at) {
        return charted;
    }
    const auto reached = r.call ? r.call->at(call_time::at_patient) : std::nullopt;
    std::int64_t from = seconds_of(reached ? *reached : *set.taken_at);
    for (const vital_set& one : r.sets) {
        if (!reached && one.taken_at) {
            from = std::min(from, seconds_of(*one.taken_at));
        }
    }
    return charted +
           std::chrono::seconds(std::max<std::int64_t>(seconds_of(*set.taken_at) - from, 0));
}

}  // namespace vitalproof::inline VITALPROOF_ABI
