#include "table.hpp"

#include "parallel.hpp"
#include "read/text.hpp"

#include <algorithm>

namespace vitalproof::python {

namespace {

constexpr double no_number = std::numeric_limits<double>::quiet_NaN();

}  // namespace

table::table(read::understanding columns, std::size_t rows,
             std::map<std::size_t, source_column> held, const table_options& options)
    : columns_(std::move(columns)), rows_(rows), options_(options), held_(std::move(held)) {
    load();
    if (has_reports()) {
        find_sets();
        group_reports();
    }
    derive();
    if (has_reports()) {
        order_rows();
    }
}

void table::find_sets() const {
    if (has_found_sets()) {
        return;
    }
    is_set_.assign(rows_, 0);
    share_out_rows(rows_, options_.threads, [this](std::size_t begin, std::size_t end) {
        constexpr std::size_t stretch = 4096;
        for (; begin < end; begin += stretch) {
            find_sets(begin, std::min(begin + stretch, end));
        }
    });
}

// Stops at the column behind which every row has a sign: mostly the first.
void table::find_sets(std::size_t begin, std::size_t end) const {
    const auto all_found = [&] {
        return std::all_of(is_set_.begin() + static_cast<std::ptrdiff_t>(begin),
                           is_set_.begin() + static_cast<std::ptrdiff_t>(end),
                           [](char found) { return found != 0; });
    };
    for (const sign_input& input : signs_) {
        for (std::size_t row = begin; row < end && input.numbers; ++row) {
            const double value = (*input.numbers)[row];
            is_set_[row] |= static_cast<char>(value == value);
        }
        for (std::size_t row = begin; row < end && input.texts; ++row) {
            is_set_[row] |= static_cast<char>(!read::is_blank((*input.texts)[row]));
        }
        if (input.carried && all_found()) {
            return;
        }
    }
    for (std::size_t row = begin; row < end && pressures_; ++row) {
        is_set_[row] |= static_cast<char>(!read::is_blank((*pressures_)[row]));
    }
}

bool table::has_number(std::size_t row) const {
    return std::ranges::any_of(signs_, [row](const sign_input& input) {
        return input.numbers && (*input.numbers)[row] == (*input.numbers)[row];
    });
}

std::string_view table::text_in(const context_input* column, std::size_t row) const {
    return column == nullptr ? std::string_view() : read::trimmed(column->texts[row]);
}

bool table::has_context() const {
    const bool texts = std::ranges::any_of(
        signs_, [](const sign_input& input) { return input.texts.has_value(); });
    return texts || pressures_ || !context_.empty() || complaint_ != nullptr;
}

/// What the column path needs beside plain numbers: times, ages, facts, and the columns of signs
/// whose cells are texts, or change with what another cell says.
void table::derive() {
    std::uint32_t signs = 0;
    const auto needs = [&signs](sign_id sign) { signs |= 1U << index_of(sign); };
    for (std::size_t i = 0; i < sign_count; ++i) {
        const sign_input& input = signs_[i];
        if (input.texts || (input.carried && i == index_of(sign_id::exhaled_co2) &&
                            input.rules.unit == read::charted_unit::percent)) {
            needs(static_cast<sign_id>(i));
        }
    }
    if (pressures_) {
        needs(sign_id::systolic);
        needs(sign_id::diastolic);
        needs(sign_id::mean_pressure);
    }
    for (const context_input& column : context_) {
        if (column.as->role == read::column_role::pulse_method) {
            needs(sign_id::pulse);
            needs(sign_id::ecg_rate);
        }
    }
    for (std::size_t i = 0; i < sign_count; ++i) {
        if ((signs >> i & 1U) != 0) {
            derived_[i] = {std::vector<double>(rows_, no_number), std::vector<reading_state>(rows_),
                           std::vector<absence>(rows_)};
        }
    }
    if (has_context()) {
        known_.resize(rows_);
    }
    ages_.resize(age_ != nullptr ? rows_ : 0, no_number);
    const bool look_at_rows = signs != 0 || has_context() || age_ != nullptr;
    if (time_ || look_at_rows) {
        find_sets();
    }
    if (time_) {
        read_times();
        if (day_of_call_ && has_reports()) {
            place_past_midnight();
        }
    }
    // On one thread: cells that cannot be used are counted.
    for (std::size_t row = 0; row < rows_ && look_at_rows; ++row) {
        if (!is_set(row)) {
            continue;
        }
        care_report alone;
        if (!has_reports()) {
            take_report_cells(alone, row, &unusable_);
        }
        const care_report& report = has_reports() ? reports_[report_of_[row]] : alone;
        vital_set set;
        fill(set, row, &unusable_);
        if (!ages_.empty() && report.age) {
            ages_[row] = report.age->count();
        }
        if (!known_.empty()) {
            known_[row] = report.known.overlaid_by(facts_of_methods(set).overlaid_by(set.known));
        }
        for_each_sign(all_signs{}, [&]<VitalSign S>(S sign) {
            if (auto& column = derived_[index_of(S::info.id)]) {
                column->values[row] = set[sign].raw();
                column->states[row] = set[sign].state();
                column->reasons[row] = set[sign].why_absent();
            }
        });
    }
}

std::vector<std::string> table::copied() const {
    std::vector<std::string> headers;
    for (const read::column& as : columns_.columns) {
        if (as.role == read::column_role::sign) {
            const sign_input& input = signs_[index_of(as.sign)];
            if (derived_[index_of(as.sign)] || (input.numbers && input.numbers->is_copy())) {
                headers.push_back(as.header);
            }
        }
    }
    return headers;
}

}  // namespace vitalproof::python
