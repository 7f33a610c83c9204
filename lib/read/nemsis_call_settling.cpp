// What was read of a call, stated of its sets.
#include "read/nemsis_call.hpp"

#include <algorithm>
#include <cstdint>

namespace vitalproof::read::nemsis {

namespace {

constexpr std::int64_t ten_minutes = 600;

// Seconds from `from` to `to`; positive where `to` is later.
std::int64_t seconds_between(const set_time& from, const set_time& to) {
    return seconds_of(to) - seconds_of(from);
}

// Whether any of these moments had come when the set was taken.
bool had_begun(const std::vector<set_time>& moments, const set_time& taken) {
    return std::ranges::any_of(moments,
                               [&](const set_time& at) { return seconds_between(at, taken) >= 0; });
}

}  // namespace

void call_reader::settle(care_report& report) {
    settle_disposition();
    const auto state = [&](fact which, bool holds) {
        if (holds) {
            report.known.state(which, true);
        }
    };
    state(fact::assist_device, assist_device_);
    state(fact::carbon_monoxide, carbon_monoxide_);
    state(fact::chronic_lung, chronic_lung_);
    state(fact::pregnant, pregnant_.value_or(false));
    for (vital_set& set : report.sets) {
        settle_arrest(set);
        if (set.taken_at) {
            settle_devices(set);
            settle_events(set);
        }
    }
}

void call_reader::settle_disposition() {
    call_.ended = no_patient_                 ? disposition::no_patient
                  : expired_ && !transported_ ? resuscitated_ ? disposition::resuscitation_ended
                                                              : disposition::dead_on_scene
                  : refused_                  ? disposition::refused
                  : transported_ && between_hospitals_ ? disposition::transferred
                  : transported_                       ? disposition::transported
                  : not_transported_                   ? disposition::not_transported
                                                       : disposition::unknown;
}

// What a set says of itself, as by its rhythm, stays.
void call_reader::settle_arrest(vital_set& set) const {
    if (!arrest_ || set.known.known(fact::arrest)) {
        return;
    }
    if (!*arrest_) {
        set.known.state(fact::arrest, false);
        return;
    }
    const bool lasted = pulse_returned_ && !*pulse_returned_;
    if (before_arrival_ && lasted) {
        set.known.state(fact::arrest, true);  // from before the first set to the last
        return;
    }
    if (!set.taken_at || !arrest_at_) {
        return;  // in arrest at some time: whether in this set's is not known
    }
    if (seconds_between(*arrest_at_, *set.taken_at) < 0) {
        set.known.state(fact::arrest, false);
        return;
    }
    if (lasted) {
        set.known.state(fact::arrest, true);
    } else if (pulse_returned_ && ended_by_pulse_ && resuscitation_ended_at_) {
        const bool before = seconds_between(*set.taken_at, *resuscitation_ended_at_) > 0;
        set.known.state(fact::arrest, before);
    }
}

void call_reader::settle_devices(vital_set& set) const {
    const auto state = [&](fact which, const std::vector<set_time>& moments) {
        if (!set.known.known(which) && had_begun(moments, *set.taken_at)) {
            set.known.state(which, true);
        }
    };
    state(fact::airway_tube, tubes_);
    state(fact::ventilated, ventilations_);
    state(fact::oxygen, oxygen_);
    state(fact::paced, pacing_);
    if (set.known.is(fact::arrest) &&
        (compressions_begun_ || had_begun(compressions_, *set.taken_at))) {
        set.known.state(fact::compressions, true);
    }
}

void call_reader::settle_events(vital_set& set) const {
    for (const care_event& event : call_.events) {
        if (!event.at) {
            continue;
        }
        const std::int64_t since = seconds_between(*event.at, *set.taken_at);
        const bool near = since >= -ten_minutes && since <= ten_minutes;
        const bool just_before = since >= 0 && since <= ten_minutes;
        const bool about_airway = event.what == event_kind::sedation ||
                                  event.what == event_kind::airway_attempt ||
                                  event.what == event_kind::tube_confirmed;
        if (is_treatment(event.what) && just_before) {
            set.known.state(fact::treated, true);
        } else if (about_airway && near) {
            set.known.state(fact::airway_attempt, true);
        }
    }
}

}  // namespace vitalproof::read::nemsis
