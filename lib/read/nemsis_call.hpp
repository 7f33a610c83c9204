// What a report of the national EMS data standard says of its call: times, arrest, airway,
// procedures, drugs, how it ended.
// Used by the standard's report reader. Promises that what holds from a time on is stated of the
// sets taken from then on and of no others, and that what has no time is stated of none.
#pragma once

#include "read/nemsis_element.hpp"
#include <vitalproof/care_report.hpp>

#include <optional>
#include <vector>

namespace vitalproof::read::nemsis {

class call_reader {
public:
    /// The record must outlive the reader.
    explicit call_reader(call_record& call) : call_(call) {}

    /// Takes what a section of the report says; sections without a bearing say nothing.
    void read(const node& section);

    /// Takes what a group of vital signs says of pain: whether a score was told, if it has one.
    void take_pain(std::optional<bool> score);

    /// When all is read: states of each set what held when it was taken.
    void settle(care_report& report);

private:
    void read_times(const node& section);
    void read_arrest(const node& section);
    void read_airway(const node& section);
    void read_confirmation(const node& group);
    void read_situation(const node& section);
    void read_exam(const node& section);
    void read_procedure(const node& group);
    void read_medication(const node& group);
    void read_disposition(const node& section);
    void add(event_kind what, const std::optional<set_time>& at, bool prior_care = false) {
        call_.events.push_back({what, at, prior_care});
    }

    void settle_disposition();
    void settle_arrest(vital_set& set) const;
    void settle_devices(vital_set& set) const;
    void settle_events(vital_set& set) const;

    call_record& call_;
    bool no_patient_ = false;
    bool refused_ = false;
    bool transported_ = false;
    bool not_transported_ = false;
    bool between_hospitals_ = false;
    bool expired_ = false;

    std::optional<bool> arrest_{};
    std::optional<bool> pulse_returned_{};
    bool before_arrival_ = false;  // of any EMS
    bool ended_by_pulse_ = false;
    bool resuscitated_ = false;
    bool compressions_begun_ = false;
    std::optional<set_time> arrest_at_{};
    std::optional<set_time> resuscitation_ended_at_{};
    bool assist_device_ = false;
    bool carbon_monoxide_ = false;
    bool chronic_lung_ = false;
    std::optional<bool> pregnant_{};

    // When each came into use, earliest first once settled.
    std::vector<set_time> tubes_{};
    std::vector<set_time> ventilations_{};
    std::vector<set_time> oxygen_{};
    std::vector<set_time> compressions_{};
    std::vector<set_time> pacing_{};
};

}  // namespace vitalproof::read::nemsis
