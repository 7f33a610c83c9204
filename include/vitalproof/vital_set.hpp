// The vital signs of one time.
// Used in care reports. Promises that a set is a plain value: copy it, fill it, compare readings
// by name; nothing is computed behind its members.
#pragma once

#include <vitalproof/charted_texts.hpp>
#include <vitalproof/facts.hpp>
#include <vitalproof/reading.hpp>

#include <chrono>
#include <cstdint>
#include <optional>

namespace vitalproof::inline VITALPROOF_ABI {

/// What a change of clocks makes of a local time charted without its offset.
enum class local_doubt : std::uint8_t {
    none,
    skipped,  ///< no such time: the clocks went forward over it
    twice,    ///< the clocks went back: it came twice
};

/// When a set was taken: the wall clock as charted, with its offset from UTC where one was given
/// or is known of the place; or the time elapsed since a start that the source does not say.
struct set_time {
    std::chrono::local_seconds local{};  ///< elapsed times count from 1970-01-01T00:00
    std::optional<std::chrono::minutes> utc_offset{};
    bool elapsed = false;
    local_doubt doubt = local_doubt::none;  ///< only where the place's time zone is known
    /// Minutes from UTC that put a time without an offset among others: those before the change of
    /// clocks where that makes it doubtful. Never told, and no claim.
    std::int16_t assumed_offset = 0;

    friend constexpr bool operator==(const set_time&, const set_time&) = default;
};

/// What a standard's own rules forbid in how a set was charted, whatever its values mean. A reader
/// of that standard notes it; other sources leave it empty. Signs are bits by sign_id.
struct charting_faults {
    std::uint16_t empty = 0;               ///< no value, and no reason for that
    std::uint16_t value_and_none = 0;      ///< a value beside "not applicable" or "not recorded"
    std::uint16_t value_and_negative = 0;  ///< a value beside "refused" or "unable to complete"
    bool no_time = false;                  ///< values, and no time beside them
    bool co2_over_100_percent = false;
    bool co2_over_100_kpa = false;
    bool co2_not_whole = false;  ///< in mmHg
    bool co2_without_unit = false;
    bool coma_qualifiers = false;  ///< "without interventions" beside another qualifier

    friend constexpr bool operator==(const charting_faults&, const charting_faults&) = default;
};

/// Seconds since 1970 in UTC; by the wall clock, or by what is assumed, where its offset is not
/// known.
constexpr std::int64_t seconds_of(const set_time& at) {
    const std::chrono::minutes offset =
        at.utc_offset.value_or(std::chrono::minutes{at.assumed_offset});
    return (at.local.time_since_epoch() - offset).count();
}

struct vital_set {
    std::optional<set_time> taken_at{};
    facts known{};            ///< said of this set alone; outranks the report's facts
    std::uint64_t line = 0;   ///< where it stands in its source; 0 when it came from no file
    std::uint32_t group = 0;  ///< its number in a source that counts its groups, from 1
    charting_faults faults{};
    /// By how much it lies before the set charted above it, where it is the first of its report to
    /// do so. Filled when a report's sets are put in the order of their times.
    std::chrono::seconds behind{0};
    /// The readings' texts, where the source's say more than their values.
    charted_texts charted{};

    reading<sign::systolic> systolic{};
    reading<sign::diastolic> diastolic{};
    reading<sign::mean_pressure> mean_pressure{};
    reading<sign::pulse> pulse{};
    reading<sign::ecg_rate> ecg_rate{};
    reading<sign::respiratory_rate> respiratory_rate{};
    reading<sign::saturation> saturation{};
    reading<sign::glucose> glucose{};
    reading<sign::exhaled_co2> exhaled_co2{};
    reading<sign::temperature> temperature{};
    reading<sign::coma_eye> coma_eye{};
    reading<sign::coma_verbal> coma_verbal{};
    reading<sign::coma_motor> coma_motor{};
    reading<sign::coma_total> coma_total{};
    reading<sign::responsiveness> responsiveness{};

    // The member of a sign, for code that goes over all signs: `set[sign::pulse{}]`.
    constexpr auto& operator[](sign::systolic) { return systolic; }
    constexpr auto& operator[](sign::diastolic) { return diastolic; }
    constexpr auto& operator[](sign::mean_pressure) { return mean_pressure; }
    constexpr auto& operator[](sign::pulse) { return pulse; }
    constexpr auto& operator[](sign::ecg_rate) { return ecg_rate; }
    constexpr auto& operator[](sign::respiratory_rate) { return respiratory_rate; }
    constexpr auto& operator[](sign::saturation) { return saturation; }
    constexpr auto& operator[](sign::glucose) { return glucose; }
    constexpr auto& operator[](sign::exhaled_co2) { return exhaled_co2; }
    constexpr auto& operator[](sign::temperature) { return temperature; }
    constexpr auto& operator[](sign::coma_eye) { return coma_eye; }
    constexpr auto& operator[](sign::coma_verbal) { return coma_verbal; }
    constexpr auto& operator[](sign::coma_motor) { return coma_motor; }
    constexpr auto& operator[](sign::coma_total) { return coma_total; }
    constexpr auto& operator[](sign::responsiveness) { return responsiveness; }

    template <VitalSign S>
    constexpr const reading<S>& operator[](S s) const {
        return const_cast<vital_set&>(*this)[s];
    }
};

/// Takes the pulse, which turns out to be counted by the ECG, for the ECG rate.
constexpr void take_pulse_as_ecg_rate(vital_set& set) {
    set.ecg_rate = reading_as<sign::ecg_rate>(set.pulse);
    set.charted.put(sign::ecg_rate{}, set.charted[sign::pulse{}]);
    set.pulse = reading<sign::pulse>::absent(absence::not_carried);
    set.charted.put(sign::pulse{}, {});
}

/// What the methods of a set's readings say, as facts: palpated, by machine, one method for all
/// three pressures, pulse felt or by oximeter. A method that is not stated says nothing.
constexpr facts facts_of_methods(const vital_set& set) {
    facts f;
    const method pressure = set.systolic.how();
    if (pressure != method::unknown) {
        f.state(fact::cuff_machine, pressure == method::cuff_machine);
        f.state(fact::cuff_by_ear, pressure == method::cuff_by_ear);
        f.state(fact::palpated, pressure == method::palpated);
        f.state(fact::doppler, pressure == method::doppler);
        f.state(fact::arterial, pressure == method::arterial);
    }
    const method mean = set.mean_pressure.how();
    if (pressure != method::unknown && mean != method::unknown) {
        f.state(fact::one_pressure_method, pressure == mean && (set.diastolic.how() == pressure));
    }
    if (set.pulse.how() != method::unknown) {
        f.state(fact::pulse_felt, set.pulse.how() == method::felt);
        f.state(fact::pulse_by_oximeter, set.pulse.how() == method::by_oximeter);
    }
    return f;
}

}  // namespace vitalproof::inline VITALPROOF_ABI
