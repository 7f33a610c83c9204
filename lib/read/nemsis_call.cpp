#include "read/nemsis_call.hpp"

#include "read/nemsis_codes.hpp"
#include "read/nemsis_element.hpp"
#include "read/timestamp.hpp"

#include <algorithm>
#include <array>

namespace vitalproof::read::nemsis {

namespace {

std::optional<set_time> time_in(std::string_view text) {
    const timestamp time = read_timestamp(text);
    return time.kind == time_kind::clock ? std::optional(time.time) : std::nullopt;
}

}  // namespace

void call_reader::read(const node& section) {
    switch (section.id()) {
        case "eTimes"_name:
            read_times(section);
            break;
        case "eArrest"_name:
            read_arrest(section);
            break;
        case "eAirway"_name:
            read_airway(section);
            break;
        case "eProcedures"_name:
            for (const node& group : children(section)) {
                read_procedure(group);
            }
            break;
        case "eMedications"_name:
            for (const node& group : children(section)) {
                read_medication(group);
            }
            break;
        case "eSituation"_name:
            read_situation(section);
            break;
        case "eExam"_name:
            read_exam(section);
            break;
        case "eDisposition"_name:
        case "eResponse"_name:
        case "eHistory"_name:
            read_disposition(section);
            break;
        default:
            break;
    }
}

void call_reader::read_times(const node& section) {
    static constexpr std::array<name_id, call_time_count> elements{
        "eTimes.03"_name, "eTimes.05"_name, "eTimes.06"_name, "eTimes.07"_name,
        "eTimes.09"_name, "eTimes.11"_name, "eTimes.12"_name, "eTimes.13"_name};
    for_each_element(section, [&](const node& at) {
        const auto found = std::ranges::find(elements, at.id());
        if (found != elements.end()) {
            call_.times[static_cast<std::size_t>(found - elements.begin())] = time_in(at.text());
        }
    });
}

void call_reader::read_arrest(const node& section) {
    for_each_element(section, [&](const node& at) {
        switch (at.id()) {
            case "eArrest.01"_name:
                arrest_ = is_arrest(at.text());
                before_arrival_ = at.text() == arrest_before_arrival;
                break;
            case "eArrest.03"_name:
                compressions_begun_ = compressions_begun_ || at.text() == compressions_begun;
                resuscitated_ = resuscitated_ || is_resuscitation(at.text());
                break;
            case "eArrest.12"_name:
                pulse_returned_ =
                    pulse_returned_.value_or(false) ? pulse_returned_ : did_pulse_return(at.text());
                break;
            case "eArrest.14"_name:
                arrest_at_ = time_in(at.text());
                break;
            case "eArrest.15"_name:
                resuscitation_ended_at_ = time_in(at.text());
                break;
            case "eArrest.16"_name:
                ended_by_pulse_ = at.text() == ended_by_pulse;
                break;
            case "eArrest.18"_name:
                expired_ = at.text() == expired_in_the_field;
                break;
            default:
                break;
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
void call_reader::read_airway(const node& section) {
    for (const node& at : children(section)) {
        if (at.id() == "eAirway.ConfirmationGroup"_name) {
            read_confirmation(at);
        } else if (at.id() == "eAirway.AirwayGroup"_name) {
            read_airway(at);
        } else if (at.id() == "eAirway.10"_name) {
            if (const auto attempted = time_in(at.text())) {
                add(event_kind::airway_attempt, attempted);
            }
        }
    }
}

void call_reader::read_confirmation(const node& group) {
    std::optional<set_time> confirmed;
    for_each_element(group, [&](const node& at) {
        if (at.id() == "eAirway.02"_name) {
            confirmed = time_in(at.text());
        }
    });
    if (!confirmed) {
        return;
    }
    add(event_kind::tube_confirmed, confirmed);
    tubes_.push_back(*confirmed);
    for_each_element(group, [&](const node& at) {
        if (at.id() == "eAirway.04"_name) {
            const event_kind how = confirmation(at.text());
            if (how != event_kind::tube_confirmed) {
                add(how, confirmed);
            }
        }
    });
}

void call_reader::read_situation(const node& section) {
    call_.holds.last_known_well = false;
    for_each_element(section, [&](const node& at) {
        switch (at.id()) {
            case "eSituation.02"_name:
                if (at.text() == yes_not_unknown) {
                    call_.add(complaint::injury);
                }
                break;
            case "eSituation.09"_name:
            case "eSituation.11"_name:
            case "eSituation.12"_name:
                call_.complaints |= complaints_of(at.text());
                carbon_monoxide_ = carbon_monoxide_ || is_carbon_monoxide(at.text());
                break;
            case "eSituation.18"_name:
                call_.holds.last_known_well = at.content().is_answer();
                break;
            default:
                break;
        }
    });
}

void call_reader::read_exam(const node& section) {
    for_each_element(section, [&](const node& at) {
        // By kilograms, or by the length of the child against a tape.
        if (at.id() == "eExam.01"_name || at.id() == "eExam.02"_name) {
            call_.holds.weight = call_.holds.weight.value_or(false) || at.content().is_answer();
        }
    });
}

void call_reader::take_pain(std::optional<bool> score) {
    if (score) {
        call_.holds.pain_score = call_.holds.pain_score.value_or(false) || *score;
    }
}

void call_reader::read_procedure(const node& group) {
    std::optional<set_time> done;
    const procedure* what = nullptr;
    bool succeeded = false;
    bool prior = false;
    for_each_element(group, [&](const node& at) {
        if (at.id() == "eProcedures.01"_name) {
            done = time_in(at.text());
        } else if (at.id() == "eProcedures.02"_name) {
            prior = at.text() == yes;
        } else if (at.id() == "eProcedures.03"_name && at.tag().negative.empty()) {
            what = find_procedure(at.text());
        } else if (at.id() == "eProcedures.06"_name) {
            succeeded = at.text() == yes;
        }
    });
    if (what == nullptr) {
        return;
    }
    if (what->tube) {
        add(event_kind::airway_attempt, done, prior);
    }
    if (what->treatment) {
        add(event_kind::treatment, done, prior);
    }
    const auto note = [&](bool applies, std::vector<set_time>& moments) {
        if (applies && done) {
            moments.push_back(*done);
        }
    };
    note(what->tube && succeeded, tubes_);
    note(what->ventilation, ventilations_);
    note(what->oxygen, oxygen_);
    note(what->compressions, compressions_);
    note(what->pacing, pacing_);
}

void call_reader::read_medication(const node& group) {
    std::optional<set_time> when;
    std::optional<drug> given;
    bool prior = false;
    for_each_element(group, [&](const node& at) {
        if (at.id() == "eMedications.01"_name) {
            when = time_in(at.text());
        } else if (at.id() == "eMedications.02"_name) {
            prior = at.text() == yes;
        } else if (at.id() == "eMedications.03"_name && at.tag().negative.empty()) {
            given = find_drug(at.text());
        }
    });
    if (!given) {
        return;
    }
    add(given->what, when, prior);
    if (given->oxygen && when) {
        oxygen_.push_back(*when);
    }
}

void call_reader::read_disposition(const node& section) {
    for_each_element(section, [&](const node& at) {
        switch (at.id()) {
            case "eDisposition.27"_name:
                no_patient_ = is_no_patient(at.text());
                break;
            case "eDisposition.28"_name:
                refused_ = refused_ || is_refused(at.text());
                break;
            case "eDisposition.30"_name:
                refused_ = refused_ || is_refused(at.text());
                transported_ = is_transported(at.text());
                not_transported_ = at.text() == no_transport;
                break;
            case "eResponse.05"_name:
                between_hospitals_ = at.text() == between_hospitals;
                break;
            case "eHistory.08"_name:
                assist_device_ = assist_device_ || at.text() == assist_device_worn;
                chronic_lung_ = chronic_lung_ || is_chronic_lung(at.text());
                break;
            case "eHistory.18"_name:
                pregnant_ = is_pregnant(at.text());
                break;
            default:
                break;
        }
    });
}

}  // namespace vitalproof::read::nemsis
