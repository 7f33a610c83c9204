// What a report says of its call beside the vital signs: when things happened, what was done, how
// it ended.
// Filled by readers of sources that carry it, read by checks of a whole report. Promises that what
// a source does not say stays unknown, and that nothing here identifies anybody.
#pragma once

#include <vitalproof/vital_set.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

/// Moments of a call, in their usual order.
enum class call_time : std::uint8_t {
    unit_notified,  ///< by dispatch
    en_route,
    on_scene,
    at_patient,
    left_scene,
    at_destination,
    transfer_of_care,  ///< at the destination
    back_in_service,
};
inline constexpr std::size_t call_time_count = 8;

/// As questions name them: "the patient was reached at 16:11".
inline constexpr std::array<std::string_view, call_time_count> call_time_names{
    "unit_notified", "en_route",       "on_scene",         "at_patient",
    "left_scene",    "at_destination", "transfer_of_care", "back_in_service"};

/// How a call ended for its patient.
enum class disposition : std::uint8_t {
    unknown,
    no_patient,           ///< cancelled, none found, standby
    dead_on_scene,        ///< and no resuscitation begun
    resuscitation_ended,  ///< on scene
    refused,              ///< care or transport
    not_transported,
    transported,
    transferred,  ///< from one hospital to another
};

/// What was done or happened, as far as it bears on vital signs.
enum class event_kind : std::uint8_t {
    treatment,  ///< what changes vital signs, and is none of the next four
    sugar,      ///< glucose or glucagon
    opioid,
    naloxone,
    nitrate,
    sedation,  ///< sedation or paralysis
    airway_attempt,
    tube_confirmed,            ///< by whatever method
    tube_confirmed_by_co2,     ///< by a number or a waveform of exhaled CO2
    tube_confirmed_by_colour,  ///< by a device that changes colour with exhaled CO2
    arrest,
    pulse_returned,
    resuscitation_ended,
};

/// Whether an event is a treatment of any kind, sedation aside.
constexpr bool is_treatment(event_kind what) { return what <= event_kind::nitrate; }

struct care_event {
    event_kind what = event_kind::treatment;
    std::optional<set_time> at{};  ///< none where the source gives no time
    bool prior_care = false;       ///< by others, before this crew
};

/// Why the call was made, as far as it decides which vital signs a report should hold.
enum class complaint : std::uint8_t {
    altered_mind,  ///< altered mental status, unconsciousness, low blood sugar
    stroke,
    head_injury,
    breathing_trouble,
    injury,
};

/// What a report holds beside vital signs that some complaints ask for; each unknown where its
/// source cannot carry it.
struct other_content {
    std::optional<bool> weight{};  ///< or a reason for its absence
    std::optional<bool> pain_score{};
    std::optional<bool> last_known_well{};
};

struct call_record {
    std::array<std::optional<set_time>, call_time_count> times{};
    disposition ended = disposition::unknown;
    std::vector<care_event> events{};
    std::uint32_t complaints = 0;  ///< bits by complaint
    other_content holds{};

    constexpr void add(complaint why) { complaints |= 1U << static_cast<unsigned>(why); }
    constexpr bool is_about(complaint why) const {
        return (complaints >> static_cast<unsigned>(why) & 1U) != 0;
    }

    constexpr const std::optional<set_time>& at(call_time which) const {
        return times[static_cast<std::size_t>(which)];
    }
};

}  // namespace vitalproof::inline VITALPROOF_ABI
