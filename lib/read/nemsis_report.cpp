#include "read/nemsis_report.hpp"

#include "read/context_words.hpp"
#include "read/nemsis_call.hpp"
#include "read/nemsis_codes.hpp"
#include "read/nemsis_group.hpp"

#include <string_view>

namespace vitalproof::read::nemsis {

namespace {

void read_patient(const node& section, care_report& report, report_outcome& outcome) {
    std::string_view age;
    std::string_view unit;
    for_each_element(section, [&](const node& at) {
        if (at.id() == "ePatient.15"_name) {
            age = at.text();
        } else if (at.id() == "ePatient.16"_name) {
            unit = at.text();
        }
    });
    report.age = read_age(age, age_unit_of(unit));
    outcome.unreadable_ages += !age.empty() && !report.age ? 1U : 0U;
}

void read_vitals(const node& section, const co2_percent_basis& co2,
                 std::span<const std::uint64_t> lines, care_report& report, call_reader& call,
                 report_outcome& outcome) {
    std::uint32_t number = 0;
    for (const node& group : children(section)) {
        if (group.id() != vital_group) {
            continue;
        }
        vital_set& set = report.sets.emplace_back();
        set.group = ++number;
        set.line = number <= lines.size() ? lines[number - 1] : 0;
        const group_outcome read = read_group(group, co2, set);
        outcome.unreadable_times += read.time_unreadable ? 1U : 0U;
        call.take_pain(read.pain_score);
        if (read.says_something) {
            ++outcome.examined;
        } else {
            report.sets.pop_back();
            ++outcome.other;
        }
    }
}

void read_response(const node& section, care_report& report) {
    for_each_element(section, [&](const node& at) {
        const name_id id = at.id();
        if (id == "eResponse.03"_name) {
            report.incident.assign(at.text());
        }
        // The unit, by its call sign, else its vehicle; never a crew member.
        if (id == "eResponse.14"_name || (id == "eResponse.13"_name && report.crew.empty())) {
            if (const std::string_view unit = at.text(); !unit.empty()) {
                report.crew.assign(unit);
            }
        }
    });
}

}  // namespace

bool are_all_in_place(const report_elements& report, std::span<const std::uint64_t> lines) {
    std::size_t in_place = 0;
    for (const node& section : sections(report)) {
        if (section.id() == "eVitals"_name) {
            for (const node& group : children(section)) {
                in_place += group.id() == vital_group ? 1U : 0U;
            }
        }
    }
    return in_place == lines.size();
}

group_lines part_lines(const report_elements& report, std::span<const std::uint64_t> lines) {
    group_lines parted;
    std::size_t next = 0;
    const auto take = [&](const node& group, bool in_place) {
        if (group.id() == vital_group && next < lines.size()) {
            (in_place ? parted.in_place : parted.astray).push_back(lines[next++]);
        }
    };
    for (const node& section : sections(report)) {
        take(section, false);
        node child = section.within();
        for (node at = child; at != section.behind(); at = at.within()) {
            const bool is_child = at == child;
            take(at, is_child && section.id() == "eVitals"_name);
            child = is_child ? at.behind() : child;
        }
    }
    return parted;
}

report_outcome read_report(const report_elements& elements, const co2_percent_basis& co2,
                           std::span<const std::uint64_t> lines, care_report& report) {
    report_outcome outcome;
    call_reader call(report.call.emplace());
    for (const node& section : sections(elements)) {
        switch (section.id()) {
            case "eRecord"_name:
                for_each_element(section, [&](const node& at) {
                    if (at.id() == "eRecord.01"_name) {
                        report.id.assign(at.text());
                    }
                });
                break;
            case "ePatient"_name:
                read_patient(section, report, outcome);
                break;
            case "eVitals"_name:
                read_vitals(section, co2, lines, report, call, outcome);
                break;
            case "eResponse"_name:
                read_response(section, report);
                call.read(section);
                break;
            default:
                call.read(section);
        }
    }
    outcome.has_identifier = !report.id.empty();
    call.settle(report);
    return outcome;
}

}  // namespace vitalproof::read::nemsis
