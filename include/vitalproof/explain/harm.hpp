// Whether a charted value is a dangerous one that may be true, so that nothing is guessed about it.
// Asked before any explanation is offered. Promises that where a treatment, a stopped heart, an
// airway attempt or altered consciousness fits a dangerous value as charted, or pulse and pressure
// or both halves of a pressure fall together, no slip of one number is offered for it, however
// probable one would be.
#pragma once

#include <vitalproof/checks/among_neighbours.hpp>
#include <vitalproof/explain/set_numbers.hpp>
#include <vitalproof/limits.hpp>
#include <vitalproof/report_neighbours.hpp>

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <cstdlib>

namespace vitalproof::inline VITALPROOF_ABI {

namespace detail {

/// Below `low` or above `high` a value is dangerous. Last sets of patients left at home are judged
/// by nearly the same (field triage guideline 2021 for pressure and breathing; the others common
/// practice, no source).
inline constexpr std::array<bounds, sign_count> dangerous{{
    {90, 180, practice},  // systolic
    {50, 120, practice},  // diastolic
    {60, 130, practice},  // mean
    {50, 120, practice},  // pulse
    {50, 120, practice},  // ECG rate
    {10, 29, practice},   // respiratory rate
    {90, 100, practice},  // saturation
    {70, 300, practice},  // glucose
    {30, 60, practice},   // exhaled CO2
    {35, 40, practice},   // temperature
    {4, 4, practice},     // coma score: anything less than full
    {5, 5, practice},
    {6, 6, practice},
    {15, 15, practice},
    {1, 1, practice},
}};

/// How far in time what fits a value may lie from it: a treatment acts for ten minutes as checks
/// take it, and follows what it is given for within thirty (common practice, no source).
inline constexpr double minutes_of_airway_or_arrest = 10;
inline constexpr double minutes_a_treatment_acts = 10;
inline constexpr double minutes_to_a_treatment = 30;

}  // namespace detail

/// What is known around one set of a report, as far as it makes dangerous values true.
class harm_around {
public:
    /// `set` counts from 0.
    harm_around(const sign_limits& ranges, const care_report& report, std::size_t set,
                const set_numbers& numbers)
        : ranges_(ranges), numbers_(numbers) {
        look_at(report.known.overlaid_by(report.sets[set].known), true);
        for_each_sign(signs_of_the_heart{}, [&]<VitalSign S>(S) { look_for_fall<S>(report, set); });
        for (const std::ptrdiff_t step : {-1, 1}) {
            look_around(report, set, step);
        }
        if (report.call) {
            altered_around_ = altered_around_ || report.call->is_about(complaint::altered_mind);
            for (const care_event& event : report.call->events) {
                look_at(event, report.sets[set]);
            }
        }
    }

    /// Whether nothing may be guessed about the number that stands for this sign. `changed` are the
    /// signs a slip would change: they do not speak for themselves.
    bool forbids(sign_id id, std::uint32_t changed) const {
        const std::size_t i = index_of(id);
        const double value = numbers_[i];
        if (std::isnan(value) || cannot_be_true(id, value)) {
            return false;
        }
        const bool low = value < double{detail::dangerous[i].low};
        const bool high = value > double{detail::dangerous[i].high};
        return (low && (stopped_or_airway_ || (id == sign_id::exhaled_co2 && tube_) ||
                        falls_with_another(id, changed))) ||
               ((low || high) && (is_altered(changed) || treated_for(id, low)));
    }

private:
    using signs_of_the_heart =
        sign_list<sign::systolic, sign::diastolic, sign::pulse, sign::ecg_rate>;

    static constexpr std::uint32_t bit_of_sign(sign_id id) { return 1U << index_of(id); }

    /// The signs that fall with this one when a heart fails, and not when a digit does.
    static constexpr std::uint32_t falling_with(sign_id id) {
        switch (id) {
            case sign_id::systolic:
                return bit_of_sign(sign_id::diastolic) | bit_of_sign(sign_id::pulse) |
                       bit_of_sign(sign_id::ecg_rate);
            case sign_id::diastolic:
            case sign_id::pulse:
            case sign_id::ecg_rate:
                return bit_of_sign(sign_id::systolic);
            default:
                return 0;
        }
    }

    bool falls_with_another(sign_id id, std::uint32_t changed) const {
        return (fallen_ & bit_of_sign(id)) != 0 && (fallen_ & falling_with(id) & ~changed) != 0;
    }

    /// Whether it lies below each neighbour that there is, by more than readings differ that tell
    /// of the same state.
    template <VitalSign S>
    void look_for_fall(const care_report& report, std::size_t set) {
        constexpr double far = checks::detail::usual_movement<S>().agree;
        const double value = numbers_[index_of(S::info.id)];
        bool falls = false;
        for (const std::ptrdiff_t step : {-1, 1}) {
            if (const auto other = neighbour_of<S>(report, set, step, detail::most_sets_away)) {
                if (!(report.sets[*other][S{}].raw() - value > far)) {
                    return;
                }
                falls = true;
            }
        }
        fallen_ |= falls ? bit_of_sign(S::info.id) : 0;
    }

    /// Outside what can be measured, or less than one percent of oxygen: no oximeter shows that.
    bool cannot_be_true(sign_id id, double value) const {
        return is_beyond(ranges_.possible[index_of(id)], to_real(value)) ||
               (id == sign_id::saturation && value > 0 && value <= 1);
    }

    /// Of a set that says nothing of consciousness, the sets beside it and the complaint speak.
    bool is_altered(std::uint32_t changed) const {
        const bool silent = std::isnan(numbers_[index_of(sign_id::responsiveness)]) &&
                            std::isnan(numbers_[index_of(sign_id::coma_total)]);
        return says_altered(numbers_, changed) || (silent && altered_around_);
    }

    static bool says_altered(const set_numbers& in, std::uint32_t changed) {
        // Parts of zero beside a total say nothing: no score has them.
        const bool total = in[index_of(sign_id::coma_total)] > 0;
        const auto says = [&](sign_id id) {
            const std::size_t i = index_of(id);
            const double value = in[i];
            const bool less =
                id == sign_id::responsiveness
                    ? value > 1
                    : value < double{detail::dangerous[i].low} && (value > 0 || !total);
            return less && (changed >> i & 1U) == 0;
        };
        using enum sign_id;
        return says(responsiveness) || says(coma_total) || says(coma_eye) || says(coma_verbal) ||
               says(coma_motor);
    }

    /// A treatment whose kind the source does not tell may have been for anything but the glucose.
    bool treated_for(sign_id id, bool low) const {
        switch (id) {
            case sign_id::glucose:
                return sugar_ && low;
            case sign_id::respiratory_rate:
            case sign_id::saturation:
            case sign_id::exhaled_co2:
                return treated_ || opioid_or_naloxone_;
            case sign_id::systolic:
            case sign_id::diastolic:
            case sign_id::mean_pressure:
                return treated_ || nitrate_ || opioid_or_naloxone_;
            default:
                return treated_;
        }
    }

    void look_at(const facts& known, bool own) {
        stopped_or_airway_ = stopped_or_airway_ || known.is(fact::arrest) ||
                             known.is(fact::compressions) || known.is(fact::airway_attempt);
        tube_ = tube_ || (own && known.is(fact::airway_tube));
        // What was given in the ten minutes before a set may have been given for this one.
        treated_ = treated_ || known.is(fact::treated);
        sugar_ = sugar_ || known.is(fact::treated);
    }

    void look_around(const care_report& report, std::size_t set, std::ptrdiff_t step) {
        for (std::size_t away = 1; away <= detail::most_sets_away; ++away) {
            const std::size_t at = set + static_cast<std::size_t>(step) * away;
            if (at >= report.sets.size() ||
                detail::minutes_between(report.sets[set], report.sets[at]) >
                    detail::minutes_of_airway_or_arrest) {
                return;
            }
            look_at(report.sets[at].known, false);
            altered_around_ = altered_around_ || says_altered(numbers_of(report.sets[at]), 0);
        }
    }

    void look_at(const care_event& event, const vital_set& set) {
        const double apart =
            event.at && set.taken_at
                ? static_cast<double>(seconds_of(*event.at) - seconds_of(*set.taken_at)) / 60
                : 0;  // at a time that nobody knows: it may have been this one
        const bool near = std::abs(apart) <= detail::minutes_of_airway_or_arrest;
        const bool fits_treatment =
            apart >= -detail::minutes_a_treatment_acts && apart <= detail::minutes_to_a_treatment;
        switch (event.what) {
            case event_kind::treatment:
                treated_ = treated_ || fits_treatment;
                break;
            case event_kind::sugar:
                sugar_ = sugar_ || fits_treatment;
                break;
            case event_kind::opioid:
            case event_kind::naloxone:
                opioid_or_naloxone_ = opioid_or_naloxone_ || fits_treatment;
                break;
            case event_kind::nitrate:
                nitrate_ = nitrate_ || fits_treatment;
                break;
            default:  // sedation, an airway attempt, a tube confirmed, an arrest, a pulse returned
                stopped_or_airway_ = stopped_or_airway_ || near;
                break;
        }
    }

    const sign_limits& ranges_;
    const set_numbers& numbers_;
    std::uint32_t fallen_ = 0;  // signs of the heart, by sign_id
    bool altered_around_ = false;
    bool stopped_or_airway_ = false;
    bool tube_ = false;
    bool treated_ = false;
    bool sugar_ = false;
    bool opioid_or_naloxone_ = false;
    bool nitrate_ = false;
};

}  // namespace vitalproof::inline VITALPROOF_ABI
