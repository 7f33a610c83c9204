// Rows of the long form, each the name and value of one vital sign, into sets.
// Used by read_delimited. Promises that a name or unit is worked out once, not once a row, that the
// memory for them is bounded, and that a value in a unit that is none of its sign's is unreadable.
#pragma once

#include "read/cell.hpp"
#include "read/column_meaning.hpp"
#include "read/columns.hpp"
#include "read/delimited.hpp"
#include "read/pressure_cell.hpp"
#include "read/row_reader.hpp"
#include "read/tokenizer.hpp"
#include "read/unit_columns.hpp"
#include <vitalproof/vital_set.hpp>

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>

namespace vitalproof::read {

/// One row's reading, not yet in a set.
struct measurement {
    sign_id sign = sign_id::systolic;
    method how = method::unknown;
    cell_value cell{};
    std::optional<pressure_cell> pressures{};  ///< in place of sign and cell
};

class measure_reader {
public:
    /// The understanding must outlive the reader, and so must a mapping where there is one.
    measure_reader(understanding& columns, const co2_percent_basis& co2,
                   const column_mapping* mapping, cell_complaints& complaints);

    /// Looks at the first rows: which signs the file names, and whether a "unit" is one of measure.
    /// `tokens` has just given the header; nothing of it is consumed. An error where rows came and
    /// none named a sign.
    std::optional<file_error> look_ahead(tokenizer& tokens, const tokenizer_options& options);

    /// What a row says; none where it names no vital sign, or has no value.
    std::optional<measurement> read(std::span<const std::string_view> cells, std::uint64_t line);

    /// Whether a reading belongs to another set than the last: another time, or a sign it has.
    bool begins_set(const measurement& read, std::span<const std::string_view> cells) const;

    /// Remembers that a set begins with this row. Gives what the set is before any reading: the
    /// signs that the first rows name are blank, others not carried.
    const vital_set& begin_set(std::span<const std::string_view> cells);

    void put(vital_set& set, const measurement& read);

    /// Completes the understanding by what was read: names, signs not carried, assumed units.
    void say_what_was_read();

private:
    // What a name and a unit cell come to.
    struct meaning {
        bool vital = false;
        bool heart_rate = false;
        bool pressures = false;
        bool unit_usable = true;
        bool unit_settled = false;  // by what values fit
        cell_rules rules{};
    };
    struct text_hash {
        using is_transparent = void;
        std::size_t operator()(std::string_view text) const {
            return std::hash<std::string_view>{}(text);
        }
    };

    // Numbers of one name and unit cell that state no unit, and how many fit another.
    struct unstated_unit {
        sign_id sign;
        charted_unit assumed;
        std::optional<other_unit> other;
        std::string name;
        checks::unit_column::counts counts{};
    };

    void count_unstated(const meaning& of, std::span<const std::string_view> cells);
    void settle_units();
    std::string_view unit_cell(std::span<const std::string_view> cells) const;
    const meaning& meaning_of(std::span<const std::string_view> cells);
    std::optional<named_sign> sign_named(std::string_view name) const;
    meaning work_out(std::string_view name, std::string_view unit) const;
    void list(std::string_view name, const meaning& of);
    void carry(const meaning& of);
    std::uint32_t named() const;
    sign_id sign_of(const meaning& of) const;
    cell_value read_value(std::span<const std::string_view> cells, const meaning& of,
                          std::uint64_t line);
    pressure_cell read_pressures(std::span<const std::string_view> cells, const meaning& of,
                                 std::uint64_t line);
    method method_of(sign_id sign, std::span<const std::string_view> cells, std::uint64_t line);
    std::string signs_in(std::uint32_t signs) const;

    understanding& columns_;
    co2_percent_basis co2_;
    const column_mapping* mapping_;
    cell_complaints& complaints_;
    const column* name_;
    const column* value_;
    const column* unit_;
    const column* time_;
    const column* date_;
    const column* pressure_method_;
    const column* pulse_method_;

    template <class Value>
    using by_key = std::unordered_map<std::string, Value, text_hash, std::equal_to<>>;

    by_key<meaning> known_;
    std::map<std::string, unstated_unit, std::less<>> unstated_;  // by the first rows
    by_key<charted_unit> settled_;                                // of those, the units that fit
    std::uint32_t stated_by_first_ = 0;  // signs that those rows state a unit of
    meaning uncached_{};
    std::string key_;
    bool pulse_named_ = false;  // then a heart rate is the ECG's
    bool heart_rate_named_ = false;

    vital_set blank_{};
    std::uint32_t named_ = 0;    // signs the file names by other names than a heart rate's
    std::uint32_t given_ = 0;    // signs of the present set
    std::uint32_t assumed_ = 0;  // signs read in a unit that was not stated
    tally_of_lines unusable_units_{};
    std::string time_text_;
    std::string date_text_;
};

}  // namespace vitalproof::read
