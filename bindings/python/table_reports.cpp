// Which rows are one report, what they say of it, and the order of its sets.
#include "read/absence_words.hpp"
#include "read/call_cells.hpp"
#include "read/context_words.hpp"
#include "read/report_gatherer.hpp"
#include "read/text.hpp"
#include "table.hpp"

#include <algorithm>
#include <numeric>

namespace vitalproof::python {

/// By the rules of a file: each from the first row of the report that has it.
void table::take_report_cells(care_report& report, std::size_t row,
                              unusable_cells* complaints) const {
    const auto fill_name = [&](std::string& name, const context_input* column) {
        if (name.empty()) {
            name.assign(text_in(column, row));
        }
    };
    fill_name(report.crew, crew_);
    fill_name(report.device, device_);
    fill_name(report.incident, incident_);
    if (const auto text = text_in(complaint_, row); !text.empty()) {
        read::take_complaint(report, text);
    }
    if (const auto text = text_in(disposition_, row);
        !read::take_disposition(report, text) && !read::says_nothing(text)) {
        note(complaints, &unusable_cells::words, row);
    }
    auto zone = options_.zone;
    for (const call_time_input& moment : call_times_) {
        const read::timestamp at = time_in(moment.input, row);
        if (at.kind != read::time_kind::blank &&
            !read::take_call_time(report, moment.which, at, zone)) {
            note(complaints, &unusable_cells::times, row);
        }
    }
    if (const auto text = text_in(age_, row); !read::says_nothing(text) && !report.age) {
        report.age = read::read_age(text, age_unit_ == nullptr
                                              ? age_->as->age_in
                                              : read::read_age_unit(text_in(age_unit_, row)));
        if (!report.age) {
            note(complaints, &unusable_cells::ages, row);
        }
    }
}

void table::group_reports() {
    std::unordered_map<std::string, std::size_t> latest;
    report_of_.assign(rows_, 0);
    care_report run;
    std::size_t begin = 0;
    for (std::size_t row = 0; row < rows_; ++row) {
        const std::string_view id = text_in(report_, row);
        if (row != 0 && (id.empty() || id != run.id)) {
            close_run(run, begin, row, latest);
            run = {};
            begin = row;
        }
        run.id.assign(id);
        take_report_cells(run, row, &unusable_);
        if (id.empty() && is_set(row)) {
            note(&unusable_, &unusable_cells::reports, row);
        }
    }
    if (rows_ != 0) {
        close_run(run, begin, rows_, latest);
    }
    std::vector<std::size_t> sizes(reports_.size() + 1);
    for (std::size_t row = 0; row < rows_; ++row) {
        sizes[report_of_[row] + 1] += is_set(row) ? 1U : 0U;
    }
    report_begins_ = sizes;
    std::partial_sum(sizes.begin(), sizes.end(), report_begins_.begin());
    std::vector<std::size_t> next = report_begins_;
    grouped_.resize(report_begins_.back());
    for (std::size_t row = 0; row < rows_; ++row) {
        if (is_set(row)) {
            grouped_[next[report_of_[row]]++] = row;
        }
    }
}

void table::close_run(care_report& run, std::size_t begin, std::size_t end,
                      std::unordered_map<std::string, std::size_t>& latest) {
    const bool any = std::any_of(is_set_.begin() + static_cast<std::ptrdiff_t>(begin),
                                 is_set_.begin() + static_cast<std::ptrdiff_t>(end),
                                 [](char set) { return set != 0; });
    if (!any) {
        return;
    }
    std::size_t number = reports_.size();
    const auto earlier = latest.find(run.id);
    if (!run.id.empty() && earlier != latest.end() &&
        read::could_be_one(reports_[earlier->second], run)) {
        number = earlier->second;
        read::fill_gaps(reports_[number], run);
    } else {
        if (!run.id.empty()) {
            latest[run.id] = number;
        }
        reports_.push_back(run);
    }
    std::fill(report_of_.begin() + static_cast<std::ptrdiff_t>(begin),
              report_of_.begin() + static_cast<std::ptrdiff_t>(end), number);
}

/// As the examiner puts the sets of a report: by time where all have one, else as they come.
void table::order_rows() {
    order_ = grouped_;
    for (std::size_t report = 0; report < reports_.size() && time_; ++report) {
        const auto begin = order_.begin() + static_cast<std::ptrdiff_t>(report_begins_[report]);
        const auto end = order_.begin() + static_cast<std::ptrdiff_t>(report_begins_[report + 1]);
        const auto at = [this](std::size_t row) { return seconds_[row]; };
        if (std::all_of(begin, end,
                        [&](std::size_t row) { return at(row) != row_place::no_time; })) {
            std::stable_sort(begin, end,
                             [&](std::size_t a, std::size_t b) { return at(a) < at(b); });
        }
    }
    const bool as_they_stand = order_.size() == rows_ && std::ranges::is_sorted(order_);
    if (as_they_stand) {
        order_.clear();
    }
}

std::size_t table::report_count() const {
    if (has_reports()) {
        return reports_.size();
    }
    std::call_once(sets_listed_, [this] {
        find_sets();
        for (std::size_t row = 0; row < rows_; ++row) {
            if (is_set(row)) {
                grouped_.push_back(row);
            }
        }
    });
    return grouped_.size();
}

void table::fill_report(care_report& report, std::size_t number) const {
    std::size_t begin = number;
    std::size_t end = number + 1;
    report = {};
    if (has_reports()) {
        report = reports_[number];
        begin = report_begins_[number];
        end = report_begins_[number + 1];
    } else {
        report.id = "row " + std::to_string(grouped_[number]);
        take_report_cells(report, grouped_[number], nullptr);
    }
    report.sets.resize(end - begin);
    for (std::size_t i = begin; i < end; ++i) {
        fill(report.sets[i - begin], grouped_[i], nullptr);
    }
}

}  // namespace vitalproof::python
