#include "finding_columns.hpp"

#include <cerrno>
#include <new>
#include <utility>

namespace vitalproof::python {

namespace {

struct finding_stream {
    finding_batches batches;
    std::size_t next = 0;
};

int give_schema(ArrowArrayStream* /*stream*/, ArrowSchema* out) {
    try {
        export_schema(finding_columns::field(), *out);
        return 0;
    } catch (const std::bad_alloc&) {
        return ENOMEM;
    }
}

int give_next(ArrowArrayStream* stream, ArrowArray* out) {
    auto& from = *static_cast<finding_stream*>(stream->private_data);
    if (from.next == from.batches.size()) {
        out->release = nullptr;
        return 0;
    }
    try {
        const auto& batch = from.batches[from.next];
        export_array(batch->array(), batch, *out);
        ++from.next;
        return 0;
    } catch (const std::bad_alloc&) {
        return ENOMEM;
    }
}

const char* give_error(ArrowArrayStream* /*stream*/) { return "not enough memory"; }

void release_stream(ArrowArrayStream* stream) {
    delete static_cast<finding_stream*>(stream->private_data);  // NOLINT: as handed over
    stream->release = nullptr;
}

}  // namespace

std::string_view finding_columns::text(finding_text which, std::size_t row) const {
    const text_values& column = texts_[static_cast<std::size_t>(which)];
    const auto begin = static_cast<std::size_t>(column.offsets[row]);
    const auto end = static_cast<std::size_t>(column.offsets[row + 1]);
    return std::string_view(column.characters).substr(begin, end - begin);
}

void finding_columns::validity::add(std::size_t row, bool valid) {
    if (row % 8 == 0) {
        bits.push_back(0);
    }
    bits.back() = static_cast<std::uint8_t>(bits.back() | (valid ? 1U << (row % 8) : 0U));
}

void finding_columns::add_number(finding_number which, std::int64_t number) {
    number_values& column = numbers_[static_cast<std::size_t>(which)];
    column.values.push_back(number);
    column.valid.add(rows_, number >= 0);
}

void finding_columns::add_text(finding_text which, std::string_view text) {
    text_values& column = texts_[static_cast<std::size_t>(which)];
    column.characters.append(text);
    column.offsets.push_back(static_cast<std::int32_t>(column.characters.size()));
    column.valid.add(rows_, !text.empty());
}

void finding_columns::end_row(double value) {
    values_.push_back(value);
    value_valid_.add(rows_, value == value);
    ++rows_;
}

outgoing_field finding_columns::field() {
    outgoing_field table{"", "+s", {}};
    for (const char* name : finding_number_names) {
        table.children.push_back({name, "l", {}});
    }
    for (const char* name : finding_text_names) {
        table.children.push_back({name, "u", {}});
    }
    table.children.push_back({"value", "g", {}});
    return table;
}

outgoing_array finding_columns::array() const {
    const auto length = static_cast<std::int64_t>(rows_);
    outgoing_array table{.length = length, .buffers = {nullptr}};
    for (const number_values& column : numbers_) {
        table.children.push_back(
            {.length = length, .buffers = {column.valid.bits.data(), column.values.data()}});
    }
    for (const text_values& column : texts_) {
        table.children.push_back({.length = length,
                                  .buffers = {column.valid.bits.data(), column.offsets.data(),
                                              column.characters.data()}});
    }
    table.children.push_back(
        {.length = length, .buffers = {value_valid_.bits.data(), values_.data()}});
    return table;
}

void export_findings(finding_batches batches, ArrowArrayStream& stream) {
    stream = {.get_schema = &give_schema,
              .get_next = &give_next,
              .get_last_error = &give_error,
              .release = &release_stream,
              .private_data = nullptr};
    stream.private_data = new finding_stream{std::move(batches)};  // NOLINT: released by the above
}

}  // namespace vitalproof::python
