#include "write/page_data.hpp"

#include "write/page_text.hpp"

#include <algorithm>
#include <cassert>

namespace vitalproof::write {

namespace {

/// Priority first, then what is asked: 0 is the gravest.
unsigned gravity_of(const check_info& info) {
    const unsigned gravity =
        static_cast<unsigned>(info.priority) * 3 - static_cast<unsigned>(info.asks);
    assert(gravity < page_data::gravities);
    return gravity;
}

}  // namespace

void page_data::add(std::string_view file, const finding& f, const worded& in_words,
                    const care_report& report) {
    ++seen_;
    const unsigned gravity = gravity_of(f.info());
    if (gravity >= too_light_) {
        return;
    }
    turn_to(file, report, f.set);
    keep(f, in_words, gravity);
    if (findings_.size() > most_.findings + most_.findings / 5 ||
        bytes_ > most_.bytes + most_.bytes / 4) {
        drop_the_least();
    }
}

void page_data::finish() {
    put_aside();
    drop_the_least();
}

void page_data::put_aside() {
    if (begun_) {
        reports_.back().head = texts_.add(head_.text());
        reports_.back().sets = texts_.add(sets_.text());
    }
    begun_ = false;
}

void page_data::begin(identity of, const care_report& report) {
    put_aside();
    at_ = std::move(of);
    begun_ = true;
    last_set_ = 0;
    head_.clear();
    append_page_head(head_, report, at_.file);
    sets_.clear();
    reports_.push_back({at_.crew});
    count(head_.size());
}

void page_data::count(std::size_t bytes) {
    reports_.back().bytes += bytes;
    bytes_ += bytes;
}

void page_data::turn_to(std::string_view file, const care_report& report, std::size_t set) {
    const std::uint64_t first_line = report.sets.front().line;
    const bool same = begun_ && set >= last_set_ && at_.sets == report.sets.size() &&
                      at_.first_line == first_line && at_.id == report.id &&
                      at_.crew == report.crew && at_.file == file;
    if (!same) {
        begin({report.id, report.crew, std::string(file), first_line, report.sets.size()}, report);
        const std::size_t shown = std::min(report.sets.size(), most_.sets_of_report);
        for (std::size_t i = 1; i <= shown; ++i) {
            show_set(report, i);
        }
    }
    if (set != last_set_ && set > most_.sets_of_report) {
        show_set(report, set);
    }
    last_set_ = set;
}

void page_data::show_set(const care_report& report, std::size_t set) {
    const std::size_t before = sets_.size();
    sets_.append(before == 0 ? "" : ",");
    append_page_set(sets_, report, set);
    count(sets_.size() - before);
}

void page_data::keep(const finding& f, const worded& in_words, unsigned gravity) {
    ++kept_by_gravity_[gravity];
    std::size_t as_grave = 0;
    for (unsigned g = 0; g < too_light_; ++g) {
        as_grave += kept_by_gravity_[g];
        if (as_grave >= most_.findings) {
            too_light_ = g;
        }
    }
    finding_entry entry{reports_.size() - 1, gravity, f.part_of, {}};
    text_.clear();
    append_page_finding(text_, f, in_words);
    entry.text = texts_.add(text_.text().substr(1));
    bytes_ += entry.text.size;
    findings_.push_back(entry);
}

void page_data::drop_the_least() {
    std::ranges::stable_sort(findings_, {}, &finding_entry::gravity);
    const std::size_t fitting = count_what_fits();
    if (fitting < findings_.size()) {
        too_light_ = findings_[fitting].gravity;
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
        bytes += f.text.size;
        bytes += counted[f.report] ? 0 : reports_[f.report].bytes;
        counted[f.report] = true;
        if (fitting == most_.findings || bytes > most_.bytes) {
            break;
        }
        ++fitting;
    }
    return fitting;
}

void page_data::drop_reports_without_findings() {
    std::vector<std::size_t> place(reports_.size(), reports_.size());
    for (const finding_entry& f : findings_) {
        place[f.report] = 0;
    }
    begun_ = begun_ && place.back() == 0;
    std::size_t kept = 0;
    bytes_ = 0;
    for (std::size_t i = 0; i < reports_.size(); ++i) {
        if (place[i] == 0) {
            place[i] = kept;
            bytes_ += reports_[i].bytes;
            if (kept != i) {
                reports_[kept] = std::move(reports_[i]);
            }
            ++kept;
        }
    }
    reports_.resize(kept);
    for (finding_entry& f : findings_) {
        f.report = place[f.report];
        bytes_ += f.text.size;
    }
}

}  // namespace vitalproof::write
