#include "arrow_in.hpp"

#include <array>
#include <optional>
#include <stdexcept>
#include <string_view>

namespace vitalproof::python {

namespace {

struct known_format {
    std::string_view format;
    value_type type;
    std::ptrdiff_t step = 0;
    tick per{};
};

constexpr std::array known_formats = std::to_array<known_format>({
    {"n", value_type::nothing},
    {"b", value_type::bit},
    {"c", value_type::int8, 1},
    {"C", value_type::uint8, 1},
    {"s", value_type::int16, 2},
    {"S", value_type::uint16, 2},
    {"i", value_type::int32, 4},
    {"I", value_type::uint32, 4},
    {"l", value_type::int64, 8},
    {"L", value_type::uint64, 8},
    {"f", value_type::float32, 4},
    {"g", value_type::float64, 8},
    {"u", value_type::text32},
    {"U", value_type::text64},
    {"vu", value_type::text_view},
    {"tdD", value_type::day, 4, {86400, 1}},
    {"tdm", value_type::day, 8, {1, 1000}},
    {"tts", value_type::time_of_day, 4, {1, 1}},
    {"ttm", value_type::time_of_day, 4, {1, 1000}},
    {"ttu", value_type::time_of_day, 8, {1, 1'000'000}},
    {"ttn", value_type::time_of_day, 8, {1, 1'000'000'000}},
    {"tDs", value_type::elapsed, 8, {1, 1}},
    {"tDm", value_type::elapsed, 8, {1, 1000}},
    {"tDu", value_type::elapsed, 8, {1, 1'000'000}},
    {"tDn", value_type::elapsed, 8, {1, 1'000'000'000}},
    // An instant's zone stands behind the colon.
    {"tss:", value_type::instant, 8, {1, 1}},
    {"tsm:", value_type::instant, 8, {1, 1000}},
    {"tsu:", value_type::instant, 8, {1, 1'000'000}},
    {"tsn:", value_type::instant, 8, {1, 1'000'000'000}},
});

const known_format& format_of(const ArrowSchema& schema) {
    const std::string_view format = schema.format;
    for (const known_format& known : known_formats) {
        const bool instant = known.type == value_type::instant;
        if (instant ? format.starts_with(known.format) : format == known.format) {
            return known;
        }
    }
    const std::string name = schema.name == nullptr ? "" : schema.name;
    throw std::invalid_argument("column \"" + name + "\" is of Arrow type \"" +
                                std::string(format) +
                                "\": give numbers, texts or times instead (cast it)");
}

bool is_text(value_type type) {
    return type == value_type::text32 || type == value_type::text64 ||
           type == value_type::text_view;
}

column_piece piece_of(const ArrowSchema& schema, const ArrowArray& array) {
    const known_format& known = format_of(schema);
    column_piece piece;
    piece.type = known.type;
    piece.step = known.step;
    piece.rows = static_cast<std::size_t>(array.length);
    piece.offset = static_cast<std::size_t>(array.offset);
    if (known.type == value_type::nothing) {
        return piece;
    }
    if (array.null_count != 0) {
        piece.validity = static_cast<const std::uint8_t*>(array.buffers[0]);
    }
    piece.values = array.buffers[1];
    if (is_text(known.type)) {
        piece.characters = array.n_buffers > 2 ? array.buffers[2] : nullptr;
        piece.view_buffers = array.buffers + 2;
    }
    if (schema.dictionary != nullptr) {
        piece.dictionary =
            std::make_shared<column_piece>(piece_of(*schema.dictionary, *array.dictionary));
    }
    return piece;
}

/// The rows of a table's piece: where the table is a slice, so are its columns.
column_piece column_of(const ArrowSchema& schema, const ArrowArray& table, std::size_t index) {
    column_piece piece = piece_of(*schema.children[index], *table.children[index]);
    piece.offset += static_cast<std::size_t>(table.offset);
    piece.rows = static_cast<std::size_t>(table.length);
    return piece;
}

std::string zone_of(const ArrowSchema& schema) {
    const std::string_view format = schema.format;
    const bool instant = format.starts_with("ts") && format.size() > 4;
    return std::string(instant ? format.substr(4) : "");
}

source_column assembled(std::vector<column_piece> pieces, const ArrowSchema& schema,
                        std::shared_ptr<const void> owner) {
    source_column column(std::move(pieces), std::move(owner));
    const ArrowSchema& values = schema.dictionary == nullptr ? schema : *schema.dictionary;
    return column.set_tick(format_of(values).per).set_zone(zone_of(values));
}

[[noreturn]] void fail(ArrowArrayStream& stream) {
    const char* said = stream.get_last_error(&stream);
    throw std::invalid_argument("the Arrow stream broke off: " +
                                std::string(said == nullptr ? "no reason given" : said));
}

}  // namespace

arrow_table::arrow_table(ArrowArrayStream& stream) {
    arrow_owner<ArrowArrayStream> from(stream);
    if (from->get_schema(&*from, &*held_->schema) != 0) {
        fail(*from);
    }
    while (true) {
        arrow_owner<ArrowArray> piece;
        if (from->get_next(&*from, &*piece) != 0) {
            fail(*from);
        }
        if (piece->release == nullptr) {
            break;
        }
        held_->pieces.push_back(std::move(piece));
    }
}

arrow_table::arrow_table(ArrowSchema& schema, ArrowArray& array) {
    held_->schema = arrow_owner<ArrowSchema>(schema);
    held_->pieces.emplace_back(array);
}

bool arrow_table::has_columns() const { return std::string_view(held_->schema->format) == "+s"; }

std::vector<std::string> arrow_table::names() const {
    std::vector<std::string> names;
    for (std::int64_t i = 0; i < held_->schema->n_children; ++i) {
        const char* name = held_->schema->children[i]->name;
        names.emplace_back(name == nullptr ? "" : name);
    }
    return names;
}

std::size_t arrow_table::rows() const {
    std::size_t rows = 0;
    for (const auto& piece : held_->pieces) {
        rows += static_cast<std::size_t>(piece->length);
    }
    return rows;
}

source_column arrow_table::column(std::size_t index) const {
    std::vector<column_piece> pieces;
    for (const auto& piece : held_->pieces) {
        pieces.push_back(column_of(*held_->schema, *piece, index));
    }
    return assembled(std::move(pieces), *held_->schema->children[index], held_);
}

source_column arrow_table::column() const {
    std::vector<column_piece> pieces;
    for (const auto& piece : held_->pieces) {
        pieces.push_back(piece_of(*held_->schema, *piece));
    }
    return assembled(std::move(pieces), *held_->schema, held_);
}

}  // namespace vitalproof::python
