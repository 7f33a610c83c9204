// A column as Python holds it: numbers, texts or times in one of many layouts, in place.
// Used by the table that is examined. Promises to copy nothing where contiguous or strided float64
// without gaps is given, and that whole numbers of any size stay exact where they name a report.
#pragma once

#include <vitalproof/columns.hpp>

#include <cstddef>
#include <cstdint>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::python {

enum class value_type : std::uint8_t {
    nothing,  ///< a column of nulls
    float64,
    float32,
    int8,
    int16,
    int32,
    int64,
    uint8,
    uint16,
    uint32,
    uint64,
    bit,  ///< a boolean, one bit a value
    text32,
    text64,
    text_view,
    instant,      ///< a point in time, counted from 1970 in some unit
    elapsed,      ///< a stretch of time
    day,          ///< a date without a time of day
    time_of_day,  ///< without a date
};

/// How whole numbers count seconds: `value * seconds / parts`.
struct tick {
    std::int64_t seconds = 1;
    std::int64_t parts = 1;
};

/// Consecutive rows of a column in one piece of memory.
struct column_piece {
    value_type type = value_type::nothing;
    std::size_t rows = 0;
    std::size_t offset = 0;  ///< of the first row, within buffers
    const std::uint8_t* validity = nullptr;
    const void* values = nullptr;  ///< numbers; of texts their offsets or views
    std::ptrdiff_t step = 0;       ///< between numbers, in bytes
    const void* characters = nullptr;
    const void* const* view_buffers = nullptr;  ///< what views longer than 12 bytes point into
    std::shared_ptr<const column_piece> dictionary{};
    std::int64_t missing = std::numeric_limits<std::int64_t>::min();  ///< "not a time" of NumPy

    bool is_null(std::size_t row) const {
        const std::size_t at = offset + row;
        return type == value_type::nothing ||
               (validity != nullptr && (validity[at / 8] >> (at % 8) & 1) == 0);
    }
};

/// Texts one behind the other; a missing one is empty.
class text_column {
public:
    void add(std::string_view text) {
        characters_.append(text);
        ends_.push_back(characters_.size());
    }
    std::size_t rows() const { return ends_.size(); }
    std::string_view operator[](std::size_t row) const {
        const std::size_t begin = row == 0 ? 0 : ends_[row - 1];
        return std::string_view(characters_).substr(begin, ends_[row] - begin);
    }

private:
    std::string characters_;
    std::vector<std::size_t> ends_;
};

/// Numbers, in place or copied.
class number_column {
public:
    explicit number_column(strided_values in_place) : view_(in_place) {}
    explicit number_column(std::vector<double> copied)
        : copied_(std::move(copied)), view_(copied_) {}
    number_column(number_column&&) = default;
    number_column& operator=(number_column&&) = default;

    strided_values values() const { return view_; }
    double operator[](std::size_t row) const { return view_[row]; }
    bool is_copy() const { return !copied_.empty(); }

private:
    std::vector<double> copied_;
    strided_values view_;
};

/// What the values of a column are, whatever their layout.
enum class value_kind : std::uint8_t { numbers, texts, instants, elapsed, days, times_of_day };

class source_column {
public:
    /// `owner` keeps the pieces' memory.
    source_column(std::vector<column_piece> pieces, std::shared_ptr<const void> owner)
        : pieces_(std::move(pieces)), owner_(std::move(owner)) {
        for (const column_piece& piece : pieces_) {
            rows_ += piece.rows;
        }
    }
    /// Of texts that are held nowhere else.
    explicit source_column(text_column texts);

    source_column& set_tick(tick of) {
        tick_ = of;
        return *this;
    }
    /// The zone of instants, empty where they are wall clocks.
    source_column& set_zone(std::string name) {
        zone_ = std::move(name);
        return *this;
    }

    std::size_t rows() const { return rows_; }
    value_kind kind() const;
    /// Whether a missing value can be told from every number without looking at each.
    bool has_whole_numbers() const;
    tick ticks() const { return tick_; }
    const std::string& zone() const { return zone_; }

    /// The values as numbers, NaN where missing. Only of numbers.
    number_column numbers() const;
    /// The values as texts, numbers as short as they read back. Of numbers and texts.
    text_column texts() const;
    /// Seconds, rounded down, row_place::no_time where missing. Of instants, stretches, days and
    /// times of day.
    std::vector<std::int64_t> seconds() const;

private:
    std::vector<column_piece> pieces_;
    std::shared_ptr<const void> owner_;
    std::size_t rows_ = 0;
    tick tick_{};
    std::string zone_{};
};

}  // namespace vitalproof::python
