// The first minutes of life, when a saturation of 60 % is as it should be.
// Used by the examiner and by checks of newborns. Promises an answer only where the age is charted
// in minutes and the set has a time: everyone else is held to the bounds of later life.
#pragma once

#include <vitalproof/care_report.hpp>

#include <algorithm>
#include <chrono>
#include <cstdint>
#include <optional>

namespace vitalproof::inline VITALPROOF_ABI {

using minutes_of_age = std::chrono::duration<double, std::chrono::minutes::period>;

/// How old the patient was when the set was taken: the age as charted, which holds from when the
/// crew reached the patient or, where that is not known, from the first set that has a time (common
/// practice, no source). None from an hour on, and where the age is charted as zero, which may mean
/// zero years.
constexpr std::optional<minutes_of_age> age_in_first_hour(const care_report& r,
                                                          const vital_set& set) {
    if (!r.age || r.age->count() <= 0 || *r.age >= std::chrono::hours(1) || !set.taken_at) {
        return std::nullopt;
    }
    const auto reached = r.call ? r.call->at(call_time::at_patient) : std::nullopt;
    std::int64_t from = seconds_of(reached ? *reached : *set.taken_at);
    for (const vital_set& one : r.sets) {
        if (!reached && one.taken_at) {
            from = std::min(from, seconds_of(*one.taken_at));
        }
    }
    const std::chrono::seconds since(std::max<std::int64_t>(seconds_of(*set.taken_at) - from, 0));
    return std::chrono::duration_cast<minutes_of_age>(*r.age) + since;
}

/// Whether the tenth minute of life is not over yet; false where that is not known.
constexpr bool is_just_born(const care_report& r, const vital_set& set) {
    const auto age = age_in_first_hour(r, set);
    return age && *age < std::chrono::minutes(11);
}

}  // namespace vitalproof::inline VITALPROOF_ABI
