#include "source_column.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstring>
#include <stdexcept>

namespace vitalproof::python {

namespace {

template <class T>
T value_at(const column_piece& piece, std::size_t row) {
    const auto* bytes = static_cast<const std::byte*>(piece.values);
    T value;
    std::memcpy(&value, bytes + static_cast<std::ptrdiff_t>(piece.offset + row) * piece.step,
                sizeof value);
    return value;
}

bool bit_at(const column_piece& piece, std::size_t row) {
    const std::size_t at = piece.offset + row;
    return (static_cast<const std::uint8_t*>(piece.values)[at / 8] >> (at % 8) & 1) != 0;
}

/// Calls `use(value)` with the row's number in its own type.
template <class Use>
auto with_number(const column_piece& piece, std::size_t row, Use&& use) {
    switch (piece.type) {
        case value_type::float64:
            return use(value_at<double>(piece, row));
        case value_type::float32:
            return use(value_at<float>(piece, row));
        case value_type::int8:
            return use(value_at<std::int8_t>(piece, row));
        case value_type::int16:
            return use(value_at<std::int16_t>(piece, row));
        case value_type::int32:
            return use(value_at<std::int32_t>(piece, row));
        case value_type::uint8:
            return use(value_at<std::uint8_t>(piece, row));
        case value_type::uint16:
            return use(value_at<std::uint16_t>(piece, row));
        case value_type::uint32:
            return use(value_at<std::uint32_t>(piece, row));
        case value_type::uint64:
            return use(value_at<std::uint64_t>(piece, row));
        case value_type::bit:
            return use(static_cast<std::uint8_t>(bit_at(piece, row)));
        default:
            return use(value_at<std::int64_t>(piece, row));
    }
}

template <class Offset>
std::string_view text_between(const column_piece& piece, std::size_t row) {
    const auto* offsets = static_cast<const Offset*>(piece.values) + piece.offset + row;
    return {static_cast<const char*>(piece.characters) + offsets[0],
            static_cast<std::size_t>(offsets[1] - offsets[0])};
}

/// A view is 16 bytes: the length, then either up to 12 characters or, behind their first four, a
/// buffer's number and an offset.
std::string_view text_of_view(const column_piece& piece, std::size_t row) {
    const auto* view = static_cast<const char*>(piece.values) + (piece.offset + row) * 16;
    std::array<std::int32_t, 4> parts{};
    std::memcpy(parts.data(), view, sizeof parts);
    const auto length = static_cast<std::size_t>(parts[0]);
    if (length <= 12) {
        return {view + 4, length};
    }
    return {static_cast<const char*>(piece.view_buffers[parts[2]]) + parts[3], length};
}

bool is_text(value_type type) {
    return type == value_type::text32 || type == value_type::text64 ||
           type == value_type::text_view;
}

void add_text(text_column& to, const column_piece& piece, std::size_t row) {
    if (piece.is_null(row)) {
        to.add("");
    } else if (piece.dictionary) {
        const auto at =
            with_number(piece, row, [](auto index) { return static_cast<std::size_t>(index); });
        add_text(to, *piece.dictionary, at);
    } else if (piece.type == value_type::text32) {
        to.add(text_between<std::int32_t>(piece, row));
    } else if (piece.type == value_type::text64) {
        to.add(text_between<std::int64_t>(piece, row));
    } else if (piece.type == value_type::text_view) {
        to.add(text_of_view(piece, row));
    } else {
        with_number(piece, row, [&](auto value) {
            // NOLINTNEXTLINE(misc-redundant-expression): else NaN, which is missing
            if (value == value) {
                to.add(fmt::format("{}", value));
            } else {
                to.add("");
            }
        });
    }
}

value_kind kind_of(const column_piece& piece) {
    if (piece.dictionary) {
        return kind_of(*piece.dictionary);
    }
    switch (piece.type) {
        case value_type::instant:
            return value_kind::instants;
        case value_type::elapsed:
            return value_kind::elapsed;
        case value_type::day:
            return value_kind::days;
        case value_type::time_of_day:
            return value_kind::times_of_day;
        default:
            return is_text(piece.type) ? value_kind::texts : value_kind::numbers;
    }
}

double number_at(const column_piece& piece, std::size_t row) {
    if (piece.is_null(row)) {
        return std::numeric_limits<double>::quiet_NaN();
    }
    const auto number = [](auto value) { return static_cast<double>(value); };
    if (piece.dictionary) {
        const auto at =
            with_number(piece, row, [](auto index) { return static_cast<std::size_t>(index); });
        return number_at(*piece.dictionary, at);
    }
    return with_number(piece, row, number);
}

/// Whether the piece can be looked at where it lies.
bool is_strided_float64(const column_piece& piece) {
    const auto step = static_cast<std::ptrdiff_t>(sizeof(double));
    return piece.type == value_type::float64 && piece.validity == nullptr && !piece.dictionary &&
           piece.step % step == 0 &&
           reinterpret_cast<std::uintptr_t>(piece.values) % alignof(double) == 0;
}

/// `value * seconds / parts`, rounded down; what does not fit is missing.
std::int64_t to_seconds(std::int64_t value, tick per) {
    std::int64_t scaled = 0;
    if (__builtin_mul_overflow(value, per.seconds, &scaled)) {
        return row_place::no_time;
    }
    const std::int64_t whole = scaled / per.parts;
    return whole - (scaled % per.parts < 0 ? 1 : 0);
}

}  // namespace

source_column::source_column(text_column texts) {
    struct packed {
        std::string characters;
        std::vector<std::int64_t> offsets{0};
    };
    auto own = std::make_shared<packed>();
    for (std::size_t row = 0; row < texts.rows(); ++row) {
        own->characters.append(texts[row]);
        own->offsets.push_back(static_cast<std::int64_t>(own->characters.size()));
    }
    column_piece piece;
    piece.type = value_type::text64;
    piece.rows = texts.rows();
    piece.values = own->offsets.data();
    piece.characters = own->characters.data();
    rows_ = piece.rows;
    pieces_.push_back(std::move(piece));
    owner_ = std::move(own);
}

value_kind source_column::kind() const {
    for (const column_piece& piece : pieces_) {
        if (piece.type != value_type::nothing) {
            return kind_of(piece);
        }
    }
    return value_kind::numbers;
}

bool source_column::has_whole_numbers() const {
    return !pieces_.empty() && pieces_.front().type != value_type::float64 &&
           pieces_.front().type != value_type::float32;
}

number_column source_column::numbers() const {
    if (pieces_.size() == 1 && is_strided_float64(pieces_.front())) {
        const column_piece& piece = pieces_.front();
        const auto step = piece.step / static_cast<std::ptrdiff_t>(sizeof(double));
        return number_column(strided_values(static_cast<const double*>(piece.values) +
                                                static_cast<std::ptrdiff_t>(piece.offset) * step,
                                            piece.rows, step));
    }
    std::vector<double> copied;
    copied.reserve(rows_);
    for (const column_piece& piece : pieces_) {
        for (std::size_t row = 0; row < piece.rows; ++row) {
            copied.push_back(number_at(piece, row));
        }
    }
    return number_column(std::move(copied));
}

text_column source_column::texts() const {
    text_column texts;
    for (const column_piece& piece : pieces_) {
        for (std::size_t row = 0; row < piece.rows; ++row) {
            add_text(texts, piece, row);
        }
    }
    return texts;
}

std::vector<std::int64_t> source_column::seconds() const {
    std::vector<std::int64_t> seconds;
    seconds.reserve(rows_);
    for (const column_piece& piece : pieces_) {
        for (std::size_t row = 0; row < piece.rows; ++row) {
            const bool wide = piece.step != static_cast<std::ptrdiff_t>(sizeof(std::int32_t)) ||
                              piece.type == value_type::instant ||
                              piece.type == value_type::elapsed;
            const std::int64_t value = piece.is_null(row) ? piece.missing
                                       : wide             ? value_at<std::int64_t>(piece, row)
                                                          : value_at<std::int32_t>(piece, row);
            seconds.push_back(value == piece.missing ? row_place::no_time
                                                     : to_seconds(value, tick_));
        }
    }
    return seconds;
}

}  // namespace vitalproof::python
