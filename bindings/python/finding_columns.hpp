// Findings column by column, as Arrow takes them.
// Used where findings are gathered and handed out. Promises 32-bit offsets that cannot overflow,
// and that what is missing is told from what is empty.
#pragma once

#include "arrow_abi.hpp"
#include "arrow_out.hpp"

#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::python {

/// Columns of text, in the order of the table.
enum class finding_text : std::uint8_t {
    report,
    crew,
    taken_at,
    check,
    asks,
    kind,
    sign,
    unit,
    charted,
    expected,
    question,
    source,
    fingerprint,
    part_of,
    perhaps,
};
inline constexpr std::array<const char*, 15> finding_text_names{
    "report",  "crew",     "taken_at", "check",  "asks",        "kind",    "sign",   "unit",
    "charted", "expected", "question", "source", "fingerprint", "part_of", "perhaps"};

/// Columns of numbers, which come first.
enum class finding_number : std::uint8_t { row, set, priority };
inline constexpr std::array<const char*, 3> finding_number_names{"row", "set", "priority"};

/// Some findings, column by column.
class finding_columns {
public:
    /// Few enough for 32-bit offsets.
    static constexpr std::size_t most_rows = std::size_t{1} << 16;

    std::size_t rows() const { return rows_; }
    /// The value of a finding's own reading; NaN where it is no number.
    double value(std::size_t row) const { return values_[row]; }
    /// -1 where there is none.
    std::int64_t number(finding_number which, std::size_t row) const {
        return numbers_[static_cast<std::size_t>(which)].values[row];
    }
    /// Empty where there is none.
    std::string_view text(finding_text which, std::size_t row) const;

    void add_number(finding_number which, std::int64_t number);
    void add_text(finding_text which, std::string_view text);
    void end_row(double value);

    static outgoing_field field();
    outgoing_array array() const;

private:
    struct validity {
        std::vector<std::uint8_t> bits;
        void add(std::size_t row, bool valid);
    };
    struct text_values {
        std::vector<std::int32_t> offsets{0};
        std::string characters;
        validity valid;
    };
    struct number_values {
        std::vector<std::int64_t> values;
        validity valid;
    };

    std::array<number_values, finding_number_names.size()> numbers_;
    std::array<text_values, finding_text_names.size()> texts_;
    std::vector<double> values_;
    validity value_valid_;
    std::size_t rows_ = 0;
};

using finding_batches = std::vector<std::shared_ptr<const finding_columns>>;

/// As a stream of record batches.
void export_findings(finding_batches batches, ArrowArrayStream& stream);

}  // namespace vitalproof::python
