// What checks of a whole report share: whose a set is, when it was, what it answers.
// Used by their families alone. Promises nothing to anyone else.
#pragma once

#include <vitalproof/check.hpp>

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <optional>
#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {
namespace detail {

inline constexpr std::string_view no_source = "common practice, no source";

/// Adds the readings of the signs in the mask to the evidence.
template <class Evidence>
void add_readings(Evidence& to, const vital_set& set, std::uint32_t signs) {
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        if ((signs >> index_of(S::info.id) & 1U) != 0) {
            to.add(evidence_of(set, s));
        }
    });
}

template <class Evidence>
void add_call_time(Evidence& to, const care_report& r, call_time which) {
    to.add({call_time_names[static_cast<std::size_t>(which)], *r.call->at(which)});
}

// Whose a set is.

constexpr facts known_of(const care_report& r, std::size_t set) {
    return r.known.overlaid_by(r.sets[set].known);
}

/// Whether this crew took it.
constexpr bool is_own(const care_report& r, std::size_t set) {
    return !known_of(r, set).is(fact::prior_care);
}

constexpr bool is_child(const care_report& r) {
    return facts_of_age(r.age).overlaid_by(r.known).is(fact::child);
}

constexpr bool ended_as(const care_report& r, disposition how) {
    return r.call && r.call->ended == how;
}

/// Whether the call had a patient to care for, as far as the report says.
constexpr bool had_a_patient(const care_report& r) {
    return r.call && !ended_as(r, disposition::no_patient) &&
           !ended_as(r, disposition::dead_on_scene);
}

// What a set holds.

template <VitalSign S>
constexpr std::uint32_t bit_if(const vital_set& set, bool holds) {
    return set[S{}].is_number() && holds ? 1U << index_of(S::info.id) : 0U;
}

constexpr std::uint32_t numbers_in(const vital_set& set) {
    std::uint32_t signs = 0;
    for_each_sign(all_signs{}, [&]<VitalSign S>(S) { signs |= bit_if<S>(set, true); });
    return signs;
}

constexpr bool is_last_own(const care_report& r, std::size_t set) {
    for (std::size_t i = set + 1; i < r.sets.size(); ++i) {
        if (is_own(r, i) && numbers_in(r.sets[i]) != 0) {
            return false;
        }
    }
    return is_own(r, set);
}

constexpr std::optional<std::size_t> first_own(const care_report& r) {
    for (std::size_t i = 0; i < r.sets.size(); ++i) {
        if (is_own(r, i)) {
            return i;
        }
    }
    return std::nullopt;
}

/// Whether the source has a place for the sign.
template <VitalSign S>
constexpr bool is_carried(const care_report& r) {
    return std::ranges::any_of(r.sets, [](const vital_set& set) {
        const auto& one = set[S{}];
        return one.state() != reading_state::absent || one.why_absent() != absence::not_carried;
    });
}

/// A value of whatever kind, or a reason why there is none.
template <VitalSign S>
constexpr bool is_answered(const vital_set& set) {
    const auto& one = set[S{}];
    return one.state() != reading_state::absent ||
           (one.why_absent() != absence::not_carried && one.why_absent() != absence::blank);
}

template <VitalSign... S>
constexpr bool any_answered(sign_list<S...>, const vital_set& set) {
    return (is_answered<S>(set) || ...);
}
template <VitalSign... S>
constexpr bool any_carried(sign_list<S...>, const care_report& r) {
    return (is_carried<S>(r) || ...);
}

/// Whether some set of the report answers one of the signs.
template <class Signs>
constexpr bool is_answered_somewhere(const care_report& r) {
    return std::ranges::any_of(r.sets,
                               [](const vital_set& set) { return any_answered(Signs{}, set); });
}

// When a set was.

/// Seconds from a moment of the call to the set; none where either is not known.
constexpr std::optional<std::int64_t> seconds_after(const care_report& r, std::size_t set,
                                                    call_time which) {
    const auto& taken = r.sets[set].taken_at;
    if (!taken || !r.call) {
        return std::nullopt;
    }
    const auto& moment = r.call->at(which);
    return moment ? std::optional(seconds_of(*taken) - seconds_of(*moment)) : std::nullopt;
}

/// Whether a moment comes after the set and not after the next one; before all sets it is the
/// first's. So each moment belongs to one set.
constexpr bool belongs_to(const care_report& r, std::size_t set, std::int64_t moment) {
    const auto& taken = r.sets[set].taken_at;
    if (!taken || (set != 0 && seconds_of(*taken) >= moment)) {
        return false;
    }
    const auto& next = set + 1 < r.sets.size() ? r.sets[set + 1].taken_at : std::nullopt;
    return !next || seconds_of(*next) >= moment;
}

/// A clock that is off is off for all of a report: its first such set is asked about. The sets
/// before are looked at last, since hardly any set is in question.
template <class C>
constexpr bool is_first_in_question(const care_report& r, std::size_t set,
                                    const typename C::limits& l) {
    if (!C::is_in_question(r, set, l)) {
        return false;
    }
    for (std::size_t i = 0; i < set; ++i) {
        if (C::is_in_question(r, i, l)) {
            return false;
        }
    }
    return true;
}

constexpr double seconds_in(minutes_value m) { return static_cast<double>(m.value()) * 60; }

constexpr minutes_value minutes_from(std::int64_t seconds) {
    return minutes_value::from_value(static_cast<real>(seconds) / 60);
}

/// Whether one of the signs is answered by a set taken from `from` to `to`, in seconds.
template <class Signs>
constexpr bool is_answered_between(const care_report& r, double from, double to) {
    return std::ranges::any_of(r.sets, [&](const vital_set& set) {
        if (!set.taken_at || !any_answered(Signs{}, set)) {
            return false;
        }
        const auto at = static_cast<double>(seconds_of(*set.taken_at));
        return at >= from && at <= to;
    });
}

/// The time this crew had the patient: from the first set of its own or when it reached the
/// patient, to when it handed over or, of who stayed, left; else to its last own set.
struct contact {
    std::int64_t from = 0;
    std::int64_t to = 0;
    constexpr std::int64_t seconds() const { return to - from; }
};

constexpr std::optional<std::int64_t> first_known(const care_report& r,
                                                  std::initializer_list<call_time> moments) {
    for (const call_time which : moments) {
        if (const auto& at = r.call->at(which)) {
            return seconds_of(*at);
        }
    }
    return std::nullopt;
}

/// None where no own set has a time or the report tells nothing of its call.
constexpr std::optional<contact> contact_of(const care_report& r) {
    std::optional<contact> sets;
    for (std::size_t i = 0; r.call && i < r.sets.size(); ++i) {
        if (const auto& taken = r.sets[i].taken_at; taken && is_own(r, i)) {
            sets = sets.value_or(contact{seconds_of(*taken), 0});
            sets->to = seconds_of(*taken);
        }
    }
    if (!sets) {
        return std::nullopt;
    }
    const bool moved =
        ended_as(r, disposition::transported) || ended_as(r, disposition::transferred);
    const auto end = moved
                         ? first_known(r, {call_time::transfer_of_care, call_time::at_destination})
                         : first_known(r, {call_time::left_scene, call_time::back_in_service});
    return contact{first_known(r, {call_time::at_patient}).value_or(sets->from),
                   end.value_or(sets->to)};
}

}  // namespace detail
}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
