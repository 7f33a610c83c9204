#include "write/page_data.hpp"

#include <algorithm>
#include <limits>
#include <utility>

namespace vitalproof::write {

page_data::page_data(page_bounds most) : most_(most) {
    // Growing, they would for a while be there twice. What is never filled takes no memory.
    findings_.reserve(most_held() + most_held() / 8);
    reports_.reserve(findings_.capacity());
}

void page_data::take(const page_part& part) {
    seen_ += part.seen();
    part.for_each_report([this](const page_part::report_entry& report,
                                findings_of_report findings) { take(report, findings); });
}

// What the part could not know yet to be too light is left out now.
void page_data::take(const page_part::report_entry& report, findings_of_report findings) {
    const unsigned too_light = too_light_.first_left_out();
    for (const page_part::finding_entry& f : findings) {
        if (f.gravity >= too_light) {
            continue;
        }
        if (!goes_on(report, f.set)) {
            begin(report);
        }
        if (f.set != last_.last_set && !f.own_set.empty()) {
            last_.sets.append(",").append(f.own_set);
            reports_.back().sets_size = static_cast<std::uint32_t>(last_.sets.size());
            bytes_ += 1 + f.own_set.size();
        }
        last_.last_set = f.set;
        keep(f);
    }
    if (findings_.size() > most_held() || bytes_ > most_.bytes + most_.bytes / 4) {
        drop_the_least();
    }
}

bool page_data::goes_on(const page_part::report_entry& report, std::size_t set) const {
    return last_.is_kept && set >= last_.last_set && last_.first_line == report.first_line &&
           last_.set_count == report.set_count && last_.head == report.head &&
           last_.crew == report.crew;
}

void page_data::begin(const page_part::report_entry& report) {
    put_aside();
    last_.is_kept = true;
    last_.crew = report.crew;
    last_.head = report.head;
    last_.sets.clear();
    last_.sets.append(report.sets);
    last_.first_line = report.first_line;
    last_.set_count = report.set_count;
    last_.last_set = 0;
    reports_.push_back({.head_size = static_cast<std::uint32_t>(last_.head.size()),
                        .sets_size = static_cast<std::uint32_t>(last_.sets.size()),
                        .crew_size = static_cast<std::uint32_t>(last_.crew.size())});
    bytes_ += reports_.back().shown();
}

void page_data::put_aside() {
    if (last_.is_kept) {
        reports_.back().begin = texts_.add(last_.head).offset;
        texts_.add(last_.sets.text());
        texts_.add(last_.crew);
    }
    last_.is_kept = false;
}

void page_data::keep(const page_part::finding_entry& f) {
    ++kept_by_gravity_[f.gravity];
    std::size_t as_grave = 0;
    for (unsigned g = 0; !too_light_.is_too_light(g); ++g) {
        as_grave += kept_by_gravity_[g];
        if (as_grave >= most_.findings) {
            too_light_.fall_to(g);
        }
    }
    findings_.push_back({.begin = texts_.add(f.text).offset,
                         .part_of = f.part_of,
                         .size = static_cast<std::uint32_t>(f.text.size()),
                         .report = static_cast<std::uint32_t>(reports_.size() - 1),
                         .gravity = f.gravity});
    bytes_ += f.text.size();
}

void page_data::finish() {
    put_aside();
    drop_the_least();
}

void page_data::drop_the_least() {
    // In place: those as grave in the order in which they came, which is that of their texts.
    std::ranges::sort(findings_, {},
                      [](const finding_entry& f) { return std::pair(f.gravity, f.begin); });
    const std::size_t fitting = count_what_fits();
    if (fitting < findings_.size()) {
        too_light_.fall_to(findings_[fitting].gravity);
        findings_.resize(fitting);
        drop_reports_without_findings();
    }
}

/// Of the findings by gravity, those whose text and reports' text the bounds allow.
std::size_t page_data::count_what_fits() {
    std::vector<bool> counted(reports_.size());
    std::size_t bytes = 0;
    std::size_t fitting = 0;
    for (const finding_entry& f : findings_) {
        bytes += f.size;
        bytes += counted[f.report] ? 0 : reports_[f.report].shown();
        counted[f.report] = true;
        if (fitting == most_.findings || bytes > most_.bytes) {
            break;
        }
        ++fitting;
    }
    return fitting;
}

void page_data::drop_reports_without_findings() {
    constexpr std::uint32_t none = std::numeric_limits<std::uint32_t>::max();
    std::vector<std::uint32_t> place(reports_.size(), none);
    for (const finding_entry& f : findings_) {
        place[f.report] = 0;
    }
    last_.is_kept = last_.is_kept && place.back() == 0;
    std::uint32_t kept = 0;
    bytes_ = 0;
    for (std::size_t i = 0; i < reports_.size(); ++i) {
        if (place[i] == 0) {
            place[i] = kept;
            bytes_ += reports_[i].shown();
            reports_[kept] = reports_[i];
            ++kept;
        }
    }
    reports_.resize(kept);
    for (finding_entry& f : findings_) {
        f.report = place[f.report];
        bytes_ += f.size;
    }
}

}  // namespace vitalproof::write
