// A table of vital signs that came from Python, as both runners need it: columns for flags, sets
// for findings.
// Used by the bindings alone. Promises that a cell means what it means in a file: names, units,
// words, times and what makes rows one report are lib/read's, and no rule of a check stands here.
#pragma once

#include "read/cell.hpp"
#include "read/columns.hpp"
#include "read/delimited.hpp"
#include "read/time_zone.hpp"
#include "source_column.hpp"
#include <vitalproof/care_report.hpp>
#include <vitalproof/columns.hpp>

#include <array>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

namespace vitalproof::python {

struct table_options {
    read::day_order dates = read::day_order::undecided;
    std::optional<read::time_zone> zone{};  ///< of wall clocks
    bool judge_units = true;                ///< whether a column's numbers may speak about its unit
    std::size_t threads = 1;
};

/// Cells beside the vital signs that could not be used: how many, and the first one's row.
struct unusable_cells {
    read::tally_of_lines times{};
    read::tally_of_lines undecided{};
    read::tally_of_lines without_date{};
    read::tally_of_lines ages{};
    read::tally_of_lines words{};
    read::tally_of_lines reports{};  ///< rows that name none
};

/// Counts a cell where someone keeps count.
inline void note(unusable_cells* complaints, read::tally_of_lines unusable_cells::*which,
                 std::size_t row) {
    if (complaints != nullptr) {
        (complaints->*which).add(row);
    }
}

class table {
public:
    /// `held` has the columns by their place; those without a role may be missing. Throws
    /// std::invalid_argument, naming the column, where one does not hold what its role needs.
    table(read::understanding columns, std::size_t rows, std::map<std::size_t, source_column> held,
          const table_options& options);

    std::size_t rows() const { return rows_; }
    const read::understanding& columns() const { return columns_; }
    const unusable_cells& unusable() const { return unusable_; }
    /// Headers of the columns of vital signs that were copied, not looked at in place.
    std::vector<std::string> copied() const;

    /// Whether rows are told to be of one report, so that their neighbours are known.
    bool has_reports() const { return report_ != nullptr; }
    /// Whether it is known of every row if it is a set. Where numbers are all there is, nobody
    /// needs it before the kernel, which then comes by it on its way.
    bool has_found_sets() const { return !is_set_.empty(); }
    /// Whether the row has any vital sign; one without is no set.
    bool is_set(std::size_t row) const { return is_set_[row] != 0; }
    /// The same, looked up; of a table whose signs are all numbers.
    bool has_number(std::size_t row) const;

    /// Reports, in the order of their first sets; of a table without them, its sets.
    std::size_t report_count() const;
    /// What its rows say of a report, and its sets in the order of the rows; `line` is the row,
    /// from 1.
    void fill_report(care_report& report, std::size_t number) const;

    /// What the kernel is given: columns in place or, where the rows of a report lie apart or not
    /// in the order of their times, copies in that order.
    class views {
    public:
        explicit views(const table& of);
        const vital_columns& columns() const { return columns_; }
        /// The row of the table that each row is; empty where they are the same.
        const std::vector<std::size_t>& order() const { return *order_; }

    private:
        template <VitalSign S>
        void add_sign(const table& of);
        template <VitalSign S>
        void add_numbers(strided_values values, read::charted_unit unit);
        strided_values in_order(strided_values values);
        template <class T>
        std::span<const T> in_order(const std::vector<T>& values);

        const std::vector<std::size_t>* order_;
        vital_columns columns_;
        std::vector<std::vector<double>> numbers_;
        std::vector<std::shared_ptr<const void>> others_;
    };

private:
    struct sign_input {
        bool carried = false;
        method how = method::unknown;
        read::cell_rules rules{};
        std::optional<number_column> numbers{};
        std::optional<text_column> texts{};
    };
    /// A sign's column worked out row by row, where its cells are no plain numbers.
    struct derived_column {
        std::vector<double> values;
        std::vector<reading_state> states;
        std::vector<absence> reasons;
    };
    struct time_input {
        value_kind kind = value_kind::texts;
        std::optional<text_column> texts{};
        std::vector<std::int64_t> seconds{};
        std::optional<read::time_zone> zone{};
        bool has_zone = false;
    };
    /// A moment of the call, once a report.
    struct call_time_input {
        call_time which;
        time_input input;
    };
    /// When a row was taken, in little space.
    struct row_time {
        std::int64_t local = row_place::no_time;
        std::int16_t utc_offset = no_offset;
        bool elapsed = false;
        local_doubt doubt = local_doubt::none;
        std::int16_t assumed_offset = 0;

        static constexpr std::int16_t no_offset = std::numeric_limits<std::int16_t>::min();
        static row_time of(const set_time& at);
        std::optional<set_time> as_set_time() const;
    };
    struct context_input {
        const read::column* as;
        text_column texts;
    };

    void load();
    void load_sign(const read::column& as, const source_column& from);
    time_input time_from(const read::column& as, const source_column& from) const;
    void settle_unit(read::column& as);
    void find_sets() const;
    void find_sets(std::size_t begin, std::size_t end) const;
    void group_reports();
    void close_run(care_report& run, std::size_t begin, std::size_t end,
                   std::unordered_map<std::string, std::size_t>& latest);
    void order_rows();
    void derive();
    bool has_context() const;
    std::string_view text_in(const context_input* column, std::size_t row) const;
    void take_report_cells(care_report& report, std::size_t row, unusable_cells* complaints) const;
    void fill(vital_set& set, std::size_t row, unusable_cells* complaints) const;
    template <VitalSign S>
    void put(vital_set& set, std::size_t row, bool& palpated) const;
    void read_times();
    void place_past_midnight();
    std::optional<set_time> time_of(std::size_t row);
    void fill_context(vital_set& set, std::size_t row, unusable_cells* complaints) const;
    read::timestamp time_in(const time_input& column, std::size_t row) const;

    read::understanding columns_;
    std::size_t rows_;
    table_options options_;
    std::map<std::size_t, source_column> held_;  // whose memory is looked at in place
    unusable_cells unusable_{};

    vital_set blank_{};
    std::array<sign_input, sign_count> signs_{};
    std::optional<text_column> pressures_{};
    read::cell_rules pressure_rules_{};
    std::optional<time_input> time_{};
    std::optional<time_input> date_{};
    bool day_of_call_ = false;  // the date is
    std::vector<call_time_input> call_times_;
    std::vector<context_input> context_;  // of a set
    std::vector<context_input> of_report_;
    const context_input* report_ = nullptr;  // the identifier
    const context_input* crew_ = nullptr;
    const context_input* age_ = nullptr;
    const context_input* age_unit_ = nullptr;
    const context_input* device_ = nullptr;
    const context_input* incident_ = nullptr;
    const context_input* complaint_ = nullptr;
    const context_input* disposition_ = nullptr;

    mutable std::vector<char> is_set_;      // empty until it is needed
    std::vector<care_report> reports_;      // without their sets
    std::vector<std::uint64_t> report_of_;  // by row
    // Rows by report; without reports, the sets, listed when they are first asked for.
    mutable std::vector<std::size_t> grouped_;
    mutable std::once_flag sets_listed_;
    std::vector<std::size_t> report_begins_;  // into grouped_
    std::vector<std::size_t> order_;          // rows by report and time; empty where as they stand
    std::vector<row_time> times_;             // by row
    std::vector<std::int64_t> seconds_;       // by row, of UTC
    std::vector<double> ages_;                // by row, in years
    std::vector<facts> known_;                // by row
    std::array<std::optional<derived_column>, sign_count> derived_{};
};

}  // namespace vitalproof::python
