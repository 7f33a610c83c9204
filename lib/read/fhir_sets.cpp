#include "read/fhir_sets.hpp"

#include <algorithm>
#include <utility>

namespace vitalproof::read {

namespace {

constexpr std::size_t remembered_moments = 1024;
constexpr std::size_t sets_tried = 8;  // of one time, from the last, for a place that is free

constexpr std::uint32_t bit_of(sign_id sign) { return 1U << index_of(sign); }

// What a set's time comes to when two are compared.
std::chrono::seconds instant(const set_time& at) {
    return at.local.time_since_epoch() - at.utc_offset.value_or(std::chrono::minutes(0));
}

bool same_time(const vital_set& a, const vital_set& b) {
    return a.taken_at && b.taken_at && instant(*a.taken_at) == instant(*b.taken_at) &&
           a.taken_at->utc_offset.has_value() == b.taken_at->utc_offset.has_value();
}

bool earlier(const vital_set& a, const vital_set& b) {
    if (!a.taken_at || !b.taken_at) {
        return a.taken_at && !b.taken_at;
    }
    const auto key = [](const set_time& at) {
        return std::pair(instant(at), at.utc_offset.has_value());
    };
    return key(*a.taken_at) < key(*b.taken_at);
}

std::uint32_t signs_of(const vital_set& set) {
    std::uint32_t signs = 0;
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        const bool carried =
            set[s].state() != reading_state::absent || set[s].why_absent() != absence::not_carried;
        signs |= carried ? bit_of(S::info.id) : 0;
    });
    return signs;
}

bool has_half(const vital_set& set) {
    return ((signs_of(set) & bit_of(sign_id::systolic)) != 0) !=
           ((signs_of(set) & bit_of(sign_id::diastolic)) != 0);
}

}  // namespace

fhir_sets::fhir_sets(sink& into, const gathering_bounds& bounds, delimited_outcome& outcome,
                     fhir_remarks& remarks)
    : into_(into),
      outcome_(outcome),
      remarks_(remarks),
      gatherer_(*this, bounds),
      moments_(remembered_moments) {}

void fhir_sets::add(const fhir_observation& from, std::uint64_t number,
                    std::optional<std::chrono::local_days> born) {
    run_ = &gatherer_.begin_run(report_of(from, number));
    run_->age = age_of(run_->id, from, born);
    begin(from, number);
    for (const fhir_reading& reading : from.readings) {
        const bool has = (signs_of(run_->sets.back()) & bit_of(reading.sign)) != 0;
        if (has) {
            begin(from, number);
        }
        put(reading, number);
    }
    gatherer_.add(number);
}

void fhir_sets::begin(const fhir_observation& from, std::uint64_t number) {
    vital_set& set = run_->sets.emplace_back();
    set.line = number;
    if (from.time.kind == time_kind::clock) {
        set.taken_at = from.time.time;
    }
    origin& of = origins_[number];
    of.whole_pressure = from.whole_pressure;
    of.place =
        "resource " + std::to_string(number) + (from.id.empty() ? "" : ", Observation/" + from.id);
}

void fhir_sets::put(const fhir_reading& reading, std::uint64_t number) {
    vital_set& set = run_->sets.back();
    const bool palpated = reading.cell.palpated || reading.how == method::palpated;
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        if (S::info.id == reading.sign) {
            // A mean cannot be felt: where there is one, it was obtained in another way.
            const bool mean = palpated && S::info.id == sign_id::mean_pressure;
            put_cell(set, s, reading.cell, mean ? method::unknown : reading.how);
        }
    });
    if (palpated) {
        set.systolic.set_method(method::palpated);
        set.diastolic.set_method(method::palpated);
    }
    origin& of = origins_[number];
    if (reading.heart_rate) {
        of.heart_rate = reading.cell;
    }
    // A sign that comes twice has two places, and its Observation is the one they share.
    of.components[index_of(reading.sign)] =
        run_->sets.size() == 1 ? reading.component : std::nullopt;
}

std::string fhir_sets::report_of(const fhir_observation& from, std::uint64_t number) {
    if (!from.encounter.empty()) {
        return from.encounter;
    }
    ++remarks_.without_encounter;
    std::string own =
        from.id.empty() ? "resource " + std::to_string(number) : "Observation/" + from.id;
    if (from.subject == 0 || from.time.kind != time_kind::clock) {
        return own;
    }
    const auto seconds = static_cast<std::uint64_t>(instant(from.time.time).count());
    const std::uint64_t key = from.subject ^ (seconds * 0x9E3779B97F4A7C15U);
    named_moment& known = moments_[key % moments_.size()];
    if (known.key != key || known.report.empty()) {
        known = {key, std::move(own)};
    }
    return known.report;
}

// One age a report, that of its first Observation: nobody is two ages in one call.
std::optional<age_in_years> fhir_sets::age_of(const std::string& report,
                                              const fhir_observation& from,
                                              std::optional<std::chrono::local_days> born) {
    std::optional<age_in_years>& age = ages_[report];
    if (!age && born && from.time.kind == time_kind::clock && from.time.time.local >= *born) {
        age = std::chrono::duration_cast<age_in_years>(
            std::chrono::floor<std::chrono::days>(from.time.time.local) - *born);
    }
    return age;
}

void fhir_sets::take(care_report& report, std::uint64_t first_line) {
    merged_.id = report.id;
    merged_.crew = report.crew;
    merged_.age = report.age;
    merged_.known = report.known;
    settle_heart_rates(report.sets);
    merge(report.sets);
    complete_pressures();
    for (const vital_set& set : report.sets) {
        origins_.erase(set.line);
    }
    ages_.erase(report.id);
    ++outcome_.reports;
    into_.report(merged_, first_line);
}

// A heart rate of no method is the ECG's in a report that names the pulse too, else the pulse.
void fhir_sets::settle_heart_rates(std::vector<vital_set>& sets) {
    const bool named = std::ranges::any_of(sets, [this](const vital_set& set) {
        return (signs_of(set) & bit_of(sign_id::pulse)) != 0 && !origins_[set.line].heart_rate;
    });
    for (vital_set& set : sets) {
        origin& of = origins_[set.line];
        if (!of.heart_rate) {
            continue;
        }
        ++(named ? remarks_.heart_as_ecg : remarks_.heart_as_pulse);
        if (named && (signs_of(set) & bit_of(sign_id::ecg_rate)) == 0) {
            put_cell(set, sign::ecg_rate{}, *of.heart_rate);
            set.pulse = {};
            set.charted.put(sign::pulse{}, {});
            of.components[index_of(sign_id::ecg_rate)] = of.components[index_of(sign_id::pulse)];
        }
    }
}

void fhir_sets::merge(std::vector<vital_set>& sets) {
    std::ranges::stable_sort(sets, earlier);
    merged_.sets.clear();
    merged_.places.clear();
    given_.clear();
    whole_.clear();
    std::size_t first = 0;  // of those with the time of the last
    for (const vital_set& set : sets) {
        if (merged_.sets.empty() || !same_time(merged_.sets.back(), set)) {
            first = merged_.sets.size();
        }
        merge_into_last(set, first);
    }
}

void fhir_sets::merge_into_last(const vital_set& one, std::size_t first) {
    const std::uint32_t signs = signs_of(one);
    std::size_t into = merged_.sets.size();
    const std::size_t last_tried = into > first + sets_tried ? into - sets_tried : first;
    for (std::size_t at = merged_.sets.size(); at > last_tried; --at) {
        into = (given_[at - 1] & signs) == 0 ? at - 1 : into;
    }
    if (into == merged_.sets.size()) {
        merged_.sets.emplace_back().taken_at = one.taken_at;
        merged_.sets.back().line = one.line;
        merged_.places.emplace_back();
        given_.push_back(0);
        whole_.push_back(false);
    }
    vital_set& set = merged_.sets[into];
    given_[into] |= signs;
    whole_[into] = whole_[into] || origins_[one.line].whole_pressure;
    set.line = std::min(set.line, one.line);
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        const std::size_t sign = index_of(S::info.id);
        if ((signs >> sign & 1U) != 0) {
            set[s] = one[s];
            set.charted.put(s, one.charted[s]);
            merged_.places[into][sign] = place_of(one.line, sign);
        }
    });
}

// A pressure has two halves. Where one is missing beside the other it is a blank: in a panel, which
// has a place for it, and at a known time, when it would be in another Observation.
void fhir_sets::complete_pressures() {
    for (std::size_t i = 0; i < merged_.sets.size(); ++i) {
        vital_set& set = merged_.sets[i];
        if ((!whole_[i] && !set.taken_at) || !has_half(set)) {
            continue;
        }
        const method how = set.systolic.how();
        if ((given_[i] & bit_of(sign_id::systolic)) == 0) {
            set.systolic = reading<sign::systolic>::absent(absence::blank);
        } else {
            set.diastolic = reading<sign::diastolic>::absent(absence::blank);
            set.diastolic.set_method(how == method::palpated ? how : method::unknown);
        }
    }
}

std::string fhir_sets::place_of(std::uint64_t number, std::size_t sign) const {
    const auto known = origins_.find(number);
    if (known == origins_.end()) {
        return {};
    }
    const auto& component = known->second.components[sign];
    return component ? known->second.place + ", component[" + std::to_string(*component) + "]"
                     : known->second.place;
}

}  // namespace vitalproof::read
