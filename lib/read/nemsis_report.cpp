#include "read/nemsis_report.hpp"

#include "read/nemsis_call.hpp"
#include "read/nemsis_codes.hpp"
#include "read/nemsis_element.hpp"
#include "read/number.hpp"
#include "read/timestamp.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace vitalproof::read::nemsis {

namespace {

constexpr std::uint16_t bit_of(sign_id sign) {
    return static_cast<std::uint16_t>(1U << index_of(sign));
}

constexpr std::string_view vital_group = "eVitals.VitalGroup";

// One group of vital signs into a set.
class group_reader {
public:
    group_reader(vital_set& set, const co2_percent_basis& co2) : set_(set), co2_(co2) {}

    void read(const pugi::xml_node& group) {
        for (pugi::xml_node child = group.first_child(); child; child = child.next_sibling()) {
            const std::string_view name = local_name(child);
            if (name == vital_group) {
                continue;  // of another time, and astray here
            }
            if (name.ends_with("Group")) {
                read(child);
            } else if (name.starts_with("eVitals.")) {
                take(name.substr(8), element_of(child));
            }
        }
    }

    /// What the elements say together, once all were read. Whether any says something of a sign.
    bool finish() {
        settle_pressure_method();
        settle_rate();
        set_.faults.coma_qualifiers = without_interventions_ && qualifiers_ > 1;
        set_.faults.no_time = no_time_ && has_value_;
        return says_something_;
    }

    bool time_unreadable() const { return time_unreadable_; }

private:
    void take(std::string_view number, const element& e);
    void take_time(const element& e);
    void take_co2(const element& e);
    void take_responsiveness(const element& e);
    void settle_pressure_method();
    void settle_rate();
    void note_faults(sign_id sign, const element& e);

    template <VitalSign S>
    void put(const element& e, charted_unit unit) {
        const cell_rules rules{.sign = S::info.id, .unit = unit, .unit_stated = true, .co2 = co2_};
        put_cell<S>(e, e.text.empty() ? cell_value{} : read_cell(e.text, rules));
    }

    template <VitalSign S>
    void put_cell(const element& e, cell_value cell) {
        note_faults(S::info.id, e);
        if (cell.state == reading_state::absent && cell.why == absence::blank) {
            cell.why = absence_of(e.not_value, e.negative);
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
    add(set_.faults.empty, !has_value && e.not_value.empty() && e.negative.empty());
    add(set_.faults.value_and_none, has_value && !e.not_value.empty());
    add(set_.faults.value_and_negative, !e.negative.empty() && (has_value || !e.not_value.empty()));
}

void group_reader::take(std::string_view number, const element& e) {
    has_value_ = has_value_ || (number > "02" && !e.text.empty());
    if (number == "01") {
        take_time(e);
    } else if (number == "02" && !e.text.empty()) {
        set_.known.state(fact::prior_care, e.text == yes);
    } else if (number == "03") {
        const rhythm seen = rhythm_of(e.text);
        if (seen.irregular) {
            set_.known.state(fact::irregular_rhythm, true);
        }
        if (seen.paced) {
            set_.known.state(fact::paced, true);
        }
        if (seen.pulseless) {
            set_.known.state(fact::arrest, true);
        }
    } else if (number == "06") {
        put<sign::systolic>(e, charted_unit::mmhg);
    } else if (number == "07") {
        put<sign::diastolic>(e, charted_unit::mmhg);
    } else if (number == "08") {
        pressure_ = pressure_method(e.text);
    } else if (number == "09") {
        put<sign::mean_pressure>(e, charted_unit::mmhg);
    } else if (number == "10") {
        put<sign::pulse>(e, charted_unit::per_minute);
    } else if (number == "11") {
        rate_ = rate_method(e.text);
    } else if (number == "12") {
        put<sign::saturation>(e, charted_unit::percent);
    } else if (number == "13") {
        if (const auto irregular = is_irregular(e.text)) {
            set_.known.state(fact::irregular_rhythm, *irregular);
        }
    } else if (number == "14") {
        put<sign::respiratory_rate>(e, charted_unit::per_minute);
    } else if (number == "15" && e.text == breathing_assisted) {
        set_.known.state(fact::ventilated, true);
    } else if (number == "16") {
        take_co2(e);
    } else if (number == "18") {
        put<sign::glucose>(e, charted_unit::mg_per_dl);
    } else if (number == "19") {
        put<sign::coma_eye>(e, charted_unit::points);
    } else if (number == "20") {
        put<sign::coma_verbal>(e, charted_unit::points);
    } else if (number == "21") {
        put<sign::coma_motor>(e, charted_unit::points);
    } else if (number == "22" && !e.text.empty()) {
        ++qualifiers_;
        without_interventions_ = without_interventions_ || e.text == coma_without_interventions;
        if (e.text == coma_intubated) {
            set_.known.state(fact::airway_tube, true);
        }
        if (e.text == coma_sedated || e.text == coma_paralysed) {
            set_.known.state(fact::sedated, true);
        }
    } else if (number == "23") {
        put<sign::coma_total>(e, charted_unit::points);
    } else if (number == "24") {
        put<sign::temperature>(e, charted_unit::celsius);
    } else if (number == "26") {
        take_responsiveness(e);
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
    const auto unit = co2_unit(e.unit_type);
    put<sign::exhaled_co2>(e, unit.value_or(charted_unit::mmhg));
    if (!unit && !e.text.empty()) {
        set_.charted.put(sign::exhaled_co2{}, charted_text(e.text));  // not in the unit it is read in
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

std::optional<age_in_years> read_age(const element& age, std::string_view unit) {
    using namespace std::chrono;
    const auto number = age.text.empty() ? std::nullopt : parse_number(age.text);
    if (!number || *number < 0) {
        return std::nullopt;
    }
    const auto in = [&](auto one) {
        return age_in_years(duration<double, typename decltype(one)::period>(*number));
    };
    return unit == "2516009"   ? std::optional(in(years{1}))
           : unit == "2516007" ? std::optional(in(months{1}))
           : unit == "2516001" ? std::optional(in(days{1}))
           : unit == "2516003" ? std::optional(in(hours{1}))
           : unit == "2516005" ? std::optional(in(minutes{1}))
                               : std::nullopt;
}

void read_patient(const pugi::xml_node& section, care_report& report, report_outcome& outcome) {
    element age;
    std::string_view unit;
    for_each_element(section, [&](std::string_view name, const pugi::xml_node& node) {
        if (name == "ePatient.15") {
            age = element_of(node);
        } else if (name == "ePatient.16") {
            unit = element_of(node).text;
        }
    });
    report.age = read_age(age, unit);
    outcome.unreadable_ages += !age.text.empty() && !report.age ? 1U : 0U;
}

void read_vitals(const pugi::xml_node& section, const co2_percent_basis& co2,
                 std::span<const std::uint64_t> lines, care_report& report,
                 report_outcome& outcome) {
    std::uint32_t number = 0;
    for (const pugi::xml_node& group : section.children()) {
        if (local_name(group) != vital_group) {
            continue;
        }
        vital_set& set = report.sets.emplace_back();
        set.group = ++number;
        set.line = number <= lines.size() ? lines[number - 1] : 0;
        group_reader reader(set, co2);
        reader.read(group);
        outcome.unreadable_times += reader.time_unreadable() ? 1U : 0U;
        if (reader.finish()) {
            ++outcome.examined;
        } else {
            report.sets.pop_back();
            ++outcome.other;
        }
    }
}

void read_response(const pugi::xml_node& section, care_report& report) {
    for_each_element(section, [&](std::string_view name, const pugi::xml_node& node) {
        if (name == "eResponse.03") {
            report.incident.assign(element_of(node).text);
        }
        // The unit, by its call sign, else its vehicle; never a crew member.
        if (name == "eResponse.14" || (name == "eResponse.13" && report.crew.empty())) {
            if (const std::string_view unit = element_of(node).text; !unit.empty()) {
                report.crew.assign(unit);
            }
        }
    });
}

void part_lines_of(const pugi::xml_node& parent, bool in_place, std::size_t& next,
                   std::span<const std::uint64_t> lines, group_lines& into) {
    for (const pugi::xml_node& child : parent.children()) {
        const std::string_view name = local_name(child);
        if (name == vital_group && next < lines.size()) {
            (in_place ? into.in_place : into.astray).push_back(lines[next++]);
        }
        part_lines_of(child, false, next, lines, into);
    }
}

}  // namespace

bool are_all_in_place(const pugi::xml_node& element, std::span<const std::uint64_t> lines) {
    std::size_t in_place = 0;
    for (const pugi::xml_node& section : element.children()) {
        if (local_name(section) == "eVitals") {
            in_place += static_cast<std::size_t>(
                std::ranges::count(section.children(), vital_group, local_name));
        }
    }
    return in_place == lines.size();
}

group_lines part_lines(const pugi::xml_node& element, std::span<const std::uint64_t> lines) {
    group_lines parted;
    std::size_t next = 0;
    for (const pugi::xml_node& section : element.children()) {
        const std::string_view name = local_name(section);
        if (name == vital_group && next < lines.size()) {
            parted.astray.push_back(lines[next++]);
        }
        part_lines_of(section, name == "eVitals", next, lines, parted);
    }
    return parted;
}

report_outcome read_report(const pugi::xml_node& element, const co2_percent_basis& co2,
                           std::span<const std::uint64_t> lines, care_report& report) {
    report_outcome outcome;
    call_reader call(report.call.emplace());
    for (const pugi::xml_node& section : element.children()) {
        const std::string_view name = local_name(section);
        if (name == "eRecord") {
            for_each_element(section, [&](std::string_view inner, const pugi::xml_node& node) {
                if (inner == "eRecord.01") {
                    report.id.assign(element_of(node).text);
                }
            });
        } else if (name == "ePatient") {
            read_patient(section, report, outcome);
        } else if (name == "eVitals") {
            read_vitals(section, co2, lines, report, outcome);
            call.read_pain(section);
        } else {
            if (name == "eResponse") {
                read_response(section, report);
            }
            call.read(name, section);
        }
    }
    outcome.has_identifier = !report.id.empty();
    call.settle(report);
    return outcome;
}

}  // namespace vitalproof::read::nemsis
