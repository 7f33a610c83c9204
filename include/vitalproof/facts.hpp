// What is known about a patient, a device or a set that decides whether a value can be true.
// Used by reports and sets, and read by predicates. Promises that "known to be so", "known not to
// be so" and "unknown" stay three different answers: a zero pulse without context is a question.
#pragma once

#include <vitalproof/config.hpp>

#include <array>
#include <bit>
#include <chrono>
#include <cstdint>
#include <optional>
#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {

enum class fact : std::uint8_t {
    // Said of the report.
    arrest,              ///< in cardiac arrest when the set was taken
    compressions,        ///< chest compressions under way when the set was taken
    airway_tube,         ///< a tube or supraglottic airway in place
    ventilated,          ///< breathing assisted or controlled
    oxygen,              ///< on added oxygen
    paced,               ///< pacemaker pacing
    assist_device,       ///< ventricular assist device: little or no pulse is expected
    irregular_rhythm,    ///< atrial fibrillation or another irregular rhythm
    trained_heart,       ///< an athlete's slow heart
    exposure,            ///< to cold, water or heat
    laboratory_glucose,  ///< glucose by laboratory, not by meter
    carbon_monoxide,     ///< breathed smoke or carbon monoxide
    chronic_lung,        ///< chronic obstructive lung disease, with its lower saturation
    pregnant,
    sedated,  ///< sedated or paralysed by drugs
    // Said of the set, mostly derived from the methods of its readings.
    cuff_machine,
    cuff_by_ear,
    palpated,
    doppler,
    arterial,
    one_pressure_method,  ///< systolic, diastolic and mean by the same known method
    pulse_felt,
    pulse_by_oximeter,
    captured,  ///< sent by a monitor; known not: charted by hand
    // Derived from the age.
    under_two,
    child,      ///< under 16 years
    over_64,    ///< 65 years and over
    newborn,    ///< under 28 days
    just_born,  ///< charted in minutes, and the tenth of life is not over; never known not to be so
    // Derived from what was done, and when.
    treated,         ///< in the ten minutes before, with what changes vital signs
    airway_attempt,  ///< within ten minutes of an airway attempt or of sedation
    prior_care,      ///< taken by others before this crew's care; last, see bit_of()
};

inline constexpr std::size_t fact_count = 32;

/// Names of the facts in files and columns, indexed by fact.
inline constexpr std::array<std::string_view, fact_count> fact_names{"arrest",
                                                                     "compressions",
                                                                     "airway_tube",
                                                                     "ventilated",
                                                                     "oxygen",
                                                                     "paced",
                                                                     "assist_device",
                                                                     "irregular_rhythm",
                                                                     "trained_heart",
                                                                     "exposure",
                                                                     "laboratory_glucose",
                                                                     "carbon_monoxide",
                                                                     "chronic_lung",
                                                                     "pregnant",
                                                                     "sedated",
                                                                     "cuff_machine",
                                                                     "cuff_by_ear",
                                                                     "palpated",
                                                                     "doppler",
                                                                     "arterial",
                                                                     "one_pressure_method",
                                                                     "pulse_felt",
                                                                     "pulse_by_oximeter",
                                                                     "captured",
                                                                     "under_two",
                                                                     "child",
                                                                     "over_64",
                                                                     "newborn",
                                                                     "just_born",
                                                                     "treated",
                                                                     "airway_attempt",
                                                                     "prior_care"};

/// Bit 0 is the last fact's: GCC 12 turns a test of it into a conversion that it cannot vectorise,
/// so it belongs to one that no predicate over columns asks for.
constexpr lane_int bit_of(fact f) {
    return static_cast<lane_int>(std::rotl(2U, static_cast<int>(f)));
}

/// A set of facts, each known true, known false or unknown.
class facts {
public:
    constexpr facts& state(fact f, bool true_or_false) {
        yes_ = true_or_false ? yes_ | bit_of(f) : yes_ & ~bit_of(f);
        no_ = true_or_false ? no_ & ~bit_of(f) : no_ | bit_of(f);
        return *this;
    }
    constexpr facts& forget(fact f) {
        yes_ &= ~bit_of(f);
        no_ &= ~bit_of(f);
        return *this;
    }

    constexpr bool is(fact f) const { return (yes_ & bit_of(f)) != 0; }
    constexpr bool is_not(fact f) const { return (no_ & bit_of(f)) != 0; }
    constexpr bool known(fact f) const { return is(f) || is_not(f); }

    /// These facts with `closer` laid over them: what a set says outranks what its report says.
    constexpr facts overlaid_by(const facts& closer) const {
        facts merged;
        const lane_int silent = ~(closer.yes_ | closer.no_);
        merged.yes_ = closer.yes_ | (yes_ & silent);
        merged.no_ = closer.no_ | (no_ & silent);
        return merged;
    }

    constexpr lane_int yes_bits() const { return yes_; }
    constexpr lane_int no_bits() const { return no_; }
    static constexpr facts from_bits(lane_int yes, lane_int no) {
        facts f;
        f.yes_ = yes;
        f.no_ = no & ~yes;
        return f;
    }

    friend constexpr bool operator==(const facts&, const facts&) = default;

private:
    lane_int yes_ = 0;
    lane_int no_ = 0;
};

/// An age in (mean Gregorian) years; convert from days, months or minutes through std::chrono.
using age_in_years = std::chrono::duration<double, std::chrono::years::period>;

/// The facts that follow from an age; none where the age is unknown, negative or over 130 years.
constexpr facts facts_of_age(std::optional<age_in_years> age) {
    facts f;
    if (age && age->count() >= 0 && age->count() <= 130) {
        f.state(fact::under_two, age->count() < 2);
        f.state(fact::child, age->count() < 16);
        f.state(fact::over_64, age->count() >= 65);
        f.state(fact::newborn, *age < std::chrono::days(28));
        // An age of zero may be one of zero years.
        if (age->count() > 0 && *age < std::chrono::minutes(11)) {
            f.state(fact::just_born, true);
        }
    }
    return f;
}

}  // namespace vitalproof::inline VITALPROOF_ABI
