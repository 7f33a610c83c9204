#include "write/page_part.hpp"

#include "write/page_text.hpp"
#include <vitalproof/catalogue.hpp>

#include <algorithm>

namespace vitalproof::write {

static_assert(std::ranges::all_of(check_table, [](const check_info& info) {
    return gravity_of(info) < gravities;
}));

void page_part::add(std::string_view file, const finding& f, const worded& in_words,
                    const care_report& report) {
    ++seen_;
    const unsigned gravity = gravity_of(f.info());
    if (too_light_.is_too_light(gravity)) {
        return;
    }
    if (!is_of_last(report, f.set)) {
        begin(file, report);
    }
    kept_report& of = reports_.back();
    if (f.set != of.last_set) {
        const bool shown = f.set <= sets_of_report_;
        of.own_set = shown ? place{} : put([&] { append_page_set(texts_, report, f.set); });
        of.last_set = f.set;
    }
    const place text = put([&] { append_page_finding(texts_, f, in_words); });
    findings_.push_back(
        {reports_.size() - 1, gravity, f.part_of, {text.begin + 1, text.end}, f.set, of.own_set});
}

void page_part::clear() {
    seen_ = 0;
    texts_.clear();
    reports_.clear();
    findings_.clear();
}

bool page_part::is_of_last(const care_report& report, std::size_t set) const {
    if (reports_.empty()) {
        return false;
    }
    const kept_report& last = reports_.back();
    return set >= last.last_set && last.set_count == report.sets.size() &&
           last.first_line == report.sets.front().line && last.id == report.id &&
           last.crew == report.crew;
}

void page_part::begin(std::string_view file, const care_report& report) {
    reports_.push_back({.id = report.id,
                        .crew = report.crew,
                        .first_line = report.sets.front().line,
                        .set_count = report.sets.size()});
    reports_.back().head = put([&] { append_page_head(texts_, report, file); });
    const std::size_t shown = std::min(report.sets.size(), sets_of_report_);
    reports_.back().sets = put([&] {
        for (std::size_t set = 1; set <= shown; ++set) {
            texts_.append(set == 1 ? "" : ",");
            append_page_set(texts_, report, set);
        }
    });
}

template <class Append>
page_part::place page_part::put(Append append) {
    const std::size_t begin = texts_.size();
    append();
    return {begin, texts_.size()};
}

}  // namespace vitalproof::write
