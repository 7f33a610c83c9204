#include "read/nemsis_call.hpp"

#include "read/nemsis_codes.hpp"
#include "read/nemsis_element.hpp"
#include "read/timestamp.hpp"

#include <algorithm>
#include <array>

namespace vitalproof::read::nemsis {

namespace {

constexpr std::int64_t ten_minutes = 600;

std::optional<set_time> time_in(const pugi::xml_node& node) {
    const timestamp time = read_timestamp(element_of(node).text);
    return time.kind == time_kind::clock ? std::optional(time.time) : std::nullopt;
}

// A value, or a reason why there is none.
bool is_answer(const element& e) {
    return !e.text.empty() || !e.negative.empty() || !e.not_value.empty();
}

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

void call_reader::read(std::string_view name, const pugi::xml_node& section) {
    if (name == "eTimes") {
        read_times(section);
    } else if (name == "eArrest") {
        read_arrest(section);
    } else if (name == "eAirway") {
        read_airway(section);
    } else if (name == "eProcedures") {
        for (const pugi::xml_node& group : section.children()) {
            read_procedure(group);
        }
    } else if (name == "eMedications") {
        for (const pugi::xml_node& group : section.children()) {
            read_medication(group);
        }
    } else if (name == "eSituation") {
        read_situation(section);
    } else if (name == "eExam") {
        read_exam(section);
    } else if (name == "eDisposition" || name == "eResponse" || name == "eHistory") {
        read_disposition(section);
    }
}

void call_reader::read_times(const pugi::xml_node& section) {
    static constexpr std::array<std::string_view, call_time_count> elements{
        "eTimes.03", "eTimes.05", "eTimes.06", "eTimes.07",
        "eTimes.09", "eTimes.11", "eTimes.12", "eTimes.13"};
    for_each_element(section, [&](std::string_view name, const pugi::xml_node& node) {
        const auto found = std::ranges::find(elements, name);
        if (found != elements.end()) {
            call_.times[static_cast<std::size_t>(found - elements.begin())] = time_in(node);
        }
    });
}

void call_reader::read_arrest(const pugi::xml_node& section) {
    for_each_element(section, [&](std::string_view name, const pugi::xml_node& node) {
        const std::string_view code = element_of(node).text;
        if (name == "eArrest.01") {
            arrest_ = is_arrest(code);
            before_arrival_ = code == arrest_before_arrival;
        } else if (name == "eArrest.03") {
            compressions_begun_ = compressions_begun_ || code == compressions_begun;
            resuscitated_ = resuscitated_ || is_resuscitation(code);
        } else if (name == "eArrest.12") {
            pulse_returned_ =
                pulse_returned_.value_or(false) ? pulse_returned_ : did_pulse_return(code);
        } else if (name == "eArrest.14") {
            arrest_at_ = time_in(node);
        } else if (name == "eArrest.15") {
            resuscitation_ended_at_ = time_in(node);
        } else if (name == "eArrest.16") {
            ended_by_pulse_ = code == ended_by_pulse;
        } else if (name == "eArrest.18") {
            expired_ = code == expired_in_the_field;
        }
    });
    if (arrest_.value_or(false)) {
        add(event_kind::arrest, arrest_at_);
        if (pulse_returned_.value_or(false)) {
            add(event_kind::pulse_returned,
                ended_by_pulse_ ? resuscitation_ended_at_ : std::nullopt);
        } else if (resuscitation_ended_at_) {
            add(event_kind::resuscitation_ended, resuscitation_ended_at_);
        }
    }
}

// A group holds its confirmations as groups of their own.
void call_reader::read_airway(const pugi::xml_node& section) {
    for (const pugi::xml_node& node : section.children()) {
        const std::string_view name = local_name(node);
        if (name == "eAirway.ConfirmationGroup") {
            read_confirmation(node);
        } else if (name == "eAirway.AirwayGroup") {
            read_airway(node);
        } else if (name == "eAirway.10") {
            if (const auto at = time_in(node)) {
                add(event_kind::airway_attempt, at);
            }
        }
    }
}

void call_reader::read_confirmation(const pugi::xml_node& group) {
    std::optional<set_time> at;
    for_each_element(group, [&](std::string_view name, const pugi::xml_node& node) {
        if (name == "eAirway.02") {
            at = time_in(node);
        }
    });
    if (!at) {
        return;
    }
    add(event_kind::tube_confirmed, at);
    tubes_.push_back(*at);
    for_each_element(group, [&](std::string_view name, const pugi::xml_node& node) {
        const event_kind how = confirmation(element_of(node).text);
        if (name == "eAirway.04" && how != event_kind::tube_confirmed) {
            add(how, at);
        }
    });
}

void call_reader::read_situation(const pugi::xml_node& section) {
    call_.holds.last_known_well = false;
    for_each_element(section, [&](std::string_view name, const pugi::xml_node& node) {
        const element e = element_of(node);
        if (name == "eSituation.02" && e.text == yes_not_unknown) {
            call_.add(complaint::injury);
        } else if (name == "eSituation.09" || name == "eSituation.11" || name == "eSituation.12") {
            call_.complaints |= complaints_of(e.text);
            carbon_monoxide_ = carbon_monoxide_ || is_carbon_monoxide(e.text);
        } else if (name == "eSituation.18") {
            call_.holds.last_known_well = is_answer(e);
        }
    });
}

void call_reader::read_exam(const pugi::xml_node& section) {
    for_each_element(section, [&](std::string_view name, const pugi::xml_node& node) {
        // By kilograms, or by the length of the child against a tape.
        if (name == "eExam.01" || name == "eExam.02") {
            call_.holds.weight = call_.holds.weight.value_or(false) || is_answer(element_of(node));
        }
    });
}

void call_reader::read_pain(const pugi::xml_node& vital_signs) {
    for_each_element(vital_signs, [&](std::string_view name, const pugi::xml_node& node) {
        if (name == "eVitals.27") {
            call_.holds.pain_score =
                call_.holds.pain_score.value_or(false) || is_answer(element_of(node));
        }
    });
}

void call_reader::read_procedure(const pugi::xml_node& group) {
    std::optional<set_time> at;
    const procedure* what = nullptr;
    bool succeeded = false;
    bool prior = false;
    for_each_element(group, [&](std::string_view name, const pugi::xml_node& node) {
        const element e = element_of(node);
        if (name == "eProcedures.01") {
            at = time_in(node);
        } else if (name == "eProcedures.02") {
            prior = e.text == yes;
        } else if (name == "eProcedures.03" && e.negative.empty()) {
            what = find_procedure(e.text);
        } else if (name == "eProcedures.06") {
            succeeded = e.text == yes;
        }
    });
    if (what == nullptr) {
        return;
    }
    if (what->tube) {
        add(event_kind::airway_attempt, at, prior);
    }
    if (what->treatment) {
        add(event_kind::treatment, at, prior);
    }
    const auto note = [&](bool applies, std::vector<set_time>& moments) {
        if (applies && at) {
            moments.push_back(*at);
        }
    };
    note(what->tube && succeeded, tubes_);
    note(what->ventilation, ventilations_);
    note(what->oxygen, oxygen_);
    note(what->compressions, compressions_);
    note(what->pacing, pacing_);
}

void call_reader::read_medication(const pugi::xml_node& group) {
    std::optional<set_time> at;
    std::optional<drug> given;
    bool prior = false;
    for_each_element(group, [&](std::string_view name, const pugi::xml_node& node) {
        const element e = element_of(node);
        if (name == "eMedications.01") {
            at = time_in(node);
        } else if (name == "eMedications.02") {
            prior = e.text == yes;
        } else if (name == "eMedications.03" && e.negative.empty()) {
            given = find_drug(e.text);
        }
    });
    if (!given) {
        return;
    }
    add(given->what, at, prior);
    if (given->oxygen && at) {
        oxygen_.push_back(*at);
    }
}

void call_reader::read_disposition(const pugi::xml_node& section) {
    for_each_element(section, [&](std::string_view name, const pugi::xml_node& node) {
        const std::string_view code = element_of(node).text;
        if (name == "eDisposition.27") {
            no_patient_ = is_no_patient(code);
        } else if (name == "eDisposition.28") {
            refused_ = refused_ || is_refused(code);
        } else if (name == "eDisposition.30") {
            refused_ = refused_ || is_refused(code);
            transported_ = is_transported(code);
            not_transported_ = code == no_transport;
        } else if (name == "eResponse.05") {
            between_hospitals_ = code == between_hospitals;
        } else if (name == "eHistory.08") {
            assist_device_ = assist_device_ || code == assist_device_worn;
            chronic_lung_ = chronic_lung_ || is_chronic_lung(code);
        } else if (name == "eHistory.18") {
            pregnant_ = is_pregnant(code);
        }
    });
}

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
