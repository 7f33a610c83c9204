#include "read/nemsis_group.hpp"

#include "read/nemsis_codes.hpp"
#include "read/number.hpp"
#include "read/timestamp.hpp"

#include <cmath>
#include <cstdint>
#include <optional>
#include <string_view>

namespace vitalproof::read::nemsis {

namespace {

constexpr std::uint16_t bit_of(sign_id sign) {
    return static_cast<std::uint16_t>(1U << index_of(sign));
}

// One group of vital signs into a set.
class group_reader {
public:
    group_reader(vital_set& set, const co2_percent_basis& co2) : set_(set), co2_(co2) {}

    void read(const node& group) {
        for (node at = group.within(); at != group.behind();) {
            const tag_meaning& tag = at.tag();
            if (tag.is_group &&
                tag.id != vital_group) {  // that is of another time, and astray here
                at = at.within();
                continue;
            }
            if (!tag.is_group && tag.name.starts_with("eVitals.")) {
                take(at.content());
            }
            at = at.behind();
        }
    }

    /// What the elements say together, once all were read.
    group_outcome finish() {
        settle_pressure_method();
        settle_rate();
        set_.faults.coma_qualifiers = without_interventions_ && qualifiers_ > 1;
        set_.faults.no_time = no_time_ && has_value_;
        return {says_something_, time_unreadable_, pain_score_};
    }

private:
    void take(const element& e);
    void take_time(const element& e);
    void take_coma_qualifier(const element& e);
    void take_co2(const element& e);
    void take_responsiveness(const element& e);
    void settle_pressure_method();
    void settle_rate();
    void note_faults(sign_id sign, const element& e);

    template <VitalSign S>
    void put(const element& e, charted_unit unit) {
        double value = 0;
        // What nearly every element of a sign holds.
        if (unit == held_unit(S::info.id) && parse_short_decimal_within(e.text, value)) [[likely]] {
            note_faults(S::info.id, e);
            set_[S{}].become(value_of<S>::from_value(value), method::unknown);
            set_.charted.put(S{}, {});  // of an element of that name before
            says_something_ = true;
            return;
        }
        const cell_rules rules{.sign = S::info.id, .unit = unit, .unit_stated = true, .co2 = co2_};
        put_cell<S>(e, e.text.empty() ? cell_value{} : read_cell(e.text, rules));
    }

    template <VitalSign S>
    void put_cell(const element& e, cell_value cell) {
        note_faults(S::info.id, e);
        if (cell.state == reading_state::absent && cell.why == absence::blank) {
            cell.why = e.tag->why;
        }
        palpated_ = palpated_ || cell.palpated;
        read::put_cell(set_, S{}, cell);
        says_something_ = says_something_ || cell.state != reading_state::absent ||
                          (cell.why != absence::blank && cell.why != absence::not_carried);
    }

    vital_set& set_;
    const co2_percent_basis& co2_;
    method pressure_ = method::unknown;
    method rate_ = method::unknown;
    bool palpated_ = false;
    bool says_something_ = false;
    bool time_unreadable_ = false;
    std::optional<bool> pain_score_{};
    bool no_time_ = false;
    bool has_value_ = false;  // in any element but its time and who took it
    bool without_interventions_ = false;
    int qualifiers_ = 0;
};

void group_reader::note_faults(sign_id sign, const element& e) {
    const std::uint16_t bit = bit_of(sign);
    const auto add = [bit](std::uint16_t& to, bool holds) {
        to = static_cast<std::uint16_t>(to | (holds ? bit : 0));
    };
    const bool has_value = !e.text.empty();
    const bool has_none = !e.tag->not_value.empty();
    const bool has_negative = !e.tag->negative.empty();
    add(set_.faults.empty, !has_value && !has_none && !has_negative);
    add(set_.faults.value_and_none, has_value && has_none);
    add(set_.faults.value_and_negative, has_negative && (has_value || has_none));
}

void group_reader::take(const element& e) {
    const auto put_as = [&](auto sign, charted_unit unit) { put<decltype(sign)>(e, unit); };
    // Names are numbered in the order of their letters.
    has_value_ =
        has_value_ || (!e.text.empty() && (e.tag->id != other_name ? e.tag->id > "eVitals.02"_name
                                                                   : e.tag->name.substr(8) > "02"));
    switch (e.tag->id) {
        case "eVitals.01"_name:
            take_time(e);
            break;
        case "eVitals.02"_name:
            if (!e.text.empty()) {
                set_.known.state(fact::prior_care, e.text == yes);
            }
            break;
        case "eVitals.03"_name:
        case "eVitals.13"_name:
            set_.known = set_.known.overlaid_by(facts_of_rhythm(e.text));
            break;
        case "eVitals.06"_name:
            put_as(sign::systolic{}, charted_unit::mmhg);
            break;
        case "eVitals.07"_name:
            put_as(sign::diastolic{}, charted_unit::mmhg);
            break;
        case "eVitals.08"_name:
            pressure_ = pressure_method(e.text);
            break;
        case "eVitals.09"_name:
            put_as(sign::mean_pressure{}, charted_unit::mmhg);
            break;
        case "eVitals.10"_name:
            put_as(sign::pulse{}, charted_unit::per_minute);
            break;
        case "eVitals.11"_name:
            rate_ = rate_method(e.text);
            break;
        case "eVitals.12"_name:
            put_as(sign::saturation{}, charted_unit::percent);
            break;
        case "eVitals.14"_name:
            put_as(sign::respiratory_rate{}, charted_unit::per_minute);
            break;
        case "eVitals.15"_name:
            if (e.text == breathing_assisted) {
                set_.known.state(fact::ventilated, true);
            }
            break;
        case "eVitals.16"_name:
            take_co2(e);
            break;
        case "eVitals.18"_name:
            put_as(sign::glucose{}, charted_unit::mg_per_dl);
            break;
        case "eVitals.19"_name:
            put_as(sign::coma_eye{}, charted_unit::points);
            break;
        case "eVitals.20"_name:
            put_as(sign::coma_verbal{}, charted_unit::points);
            break;
        case "eVitals.21"_name:
            put_as(sign::coma_motor{}, charted_unit::points);
            break;
        case "eVitals.22"_name:
            take_coma_qualifier(e);
            break;
        case "eVitals.23"_name:
            put_as(sign::coma_total{}, charted_unit::points);
            break;
        case "eVitals.24"_name:
            put_as(sign::temperature{}, charted_unit::celsius);
            break;
        case "eVitals.26"_name:
            take_responsiveness(e);
            break;
        case "eVitals.27"_name:
            pain_score_ = pain_score_.value_or(false) || e.is_answer();
            break;
        default:
            break;
    }
}

void group_reader::take_coma_qualifier(const element& e) {
    if (e.text.empty()) {
        return;
    }
    ++qualifiers_;
    without_interventions_ = without_interventions_ || e.text == coma_without_interventions;
    if (e.text == coma_intubated) {
        set_.known.state(fact::airway_tube, true);
    }
    if (e.text == coma_sedated || e.text == coma_paralysed) {
        set_.known.state(fact::sedated, true);
    }
}

void group_reader::take_time(const element& e) {
    const timestamp taken = read_timestamp(e.text);
    if (taken.kind == time_kind::clock) {
        set_.taken_at = taken.time;
    } else {
        time_unreadable_ = !e.text.empty();
        no_time_ = e.text.empty();
    }
}

void group_reader::take_co2(const element& e) {
    const auto unit = co2_unit(e.tag->unit_type);
    put<sign::exhaled_co2>(e, unit.value_or(charted_unit::mmhg));
    if (!unit && !e.text.empty()) {
        set_.charted.put(sign::exhaled_co2{},
                         charted_text(e.text));  // not in the unit it is read in
    }
    const auto charted = e.text.empty() ? std::nullopt : parse_number(e.text);
    charting_faults& faults = set_.faults;
    faults.co2_without_unit = !e.text.empty() && !unit;
    if (charted && unit) {
        faults.co2_over_100_percent = *unit == charted_unit::percent && *charted > 100;
        faults.co2_over_100_kpa = *unit == charted_unit::kilopascal && *charted > 100;
        faults.co2_not_whole = *unit == charted_unit::mmhg && *charted != std::floor(*charted);
    }
}

void group_reader::take_responsiveness(const element& e) {
    cell_value cell;
    if (!e.text.empty()) {
        const auto level = responsiveness(e.text);
        cell.state = level ? reading_state::number : reading_state::unreadable;
        cell.value = level ? static_cast<double>(*level) : 0;
        cell.charted = level ? charted_text() : charted_text(e.text);
    }
    put_cell<sign::responsiveness>(e, cell);
}

void group_reader::settle_pressure_method() {
    // A diastolic charted as P says more closely how it was taken than the method does.
    const method how = palpated_ ? method::palpated : pressure_;
    set_.systolic.set_method(how);
    set_.diastolic.set_method(how);
    // A mean cannot be felt: where there is one, it was obtained in another way.
    set_.mean_pressure.set_method(how == method::palpated ? method::unknown : how);
}

// The standard has one element for the rate: by the ECG it is the ECG's.
void group_reader::settle_rate() {
    set_.pulse.set_method(rate_);
    if (rate_ != method::by_ecg) {
        return;
    }
    take_pulse_as_ecg_rate(set_);
    const auto move = [](std::uint16_t& signs) {
        if ((signs & bit_of(sign_id::pulse)) != 0) {
            signs = static_cast<std::uint16_t>((signs & ~bit_of(sign_id::pulse)) |
                                               bit_of(sign_id::ecg_rate));
        }
    };
    move(set_.faults.empty);
    move(set_.faults.value_and_none);
    move(set_.faults.value_and_negative);
}

}  // namespace

group_outcome read_group(const node& group, const co2_percent_basis& co2, vital_set& set) {
    group_reader reader(set, co2);
    reader.read(group);
    return reader.finish();
}

}  // namespace vitalproof::read::nemsis
