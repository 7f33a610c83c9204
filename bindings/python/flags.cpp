#include "flags.hpp"

#include "arrow_out.hpp"
#include "parallel.hpp"

#include <utility>

namespace vitalproof::python {

namespace {

constexpr std::size_t words_for(std::size_t rows) {
    // Whole cache lines, as the format advises.
    constexpr std::size_t line = 64 / sizeof(flag_word);
    return ((rows + word_rows - 1) / word_rows + line - 1) / line * line;
}

bool is_set_in(const table_flags::words& bits, std::size_t row) {
    return (bits[row / word_rows] >> (row % word_rows) & 1U) != 0;
}

/// The bits of rows that were put in another order, each where its row is.
table_flags::words put_back(const table_flags::words& bits, const std::vector<std::size_t>& order,
                            std::size_t rows) {
    table_flags::words back(words_for(rows));
    for (std::size_t at = 0; at < order.size(); ++at) {
        if (is_set_in(bits, at)) {
            back[order[at] / word_rows] |= flag_word{1} << (order[at] % word_rows);
        }
    }
    return back;
}

outgoing_array column_of(const table_flags& flags, std::size_t at) {
    return {.length = static_cast<std::int64_t>(flags.rows()),
            .buffers = {flags.evaluated(at).data(), flags.fired(at).data()}};
}

outgoing_field field_of(const table_flags& flags, std::size_t at) {
    return {std::string(check_table[flags.checks()[at]].code), "b", {}};
}

/// The batch on its way out, and whether it has gone.
struct flag_stream {
    std::shared_ptr<const table_flags> flags;
    bool given = false;
};

int give_schema(ArrowArrayStream* stream, ArrowSchema* out) {
    const auto& from = *static_cast<flag_stream*>(stream->private_data);
    ArrowArray array{};
    export_flags(from.flags, *out, array);
    array.release(&array);
    return 0;
}

int give_next(ArrowArrayStream* stream, ArrowArray* out) {
    auto& from = *static_cast<flag_stream*>(stream->private_data);
    out->release = nullptr;
    if (!std::exchange(from.given, true)) {
        ArrowSchema schema{};
        export_flags(from.flags, schema, *out);
        schema.release(&schema);
    }
    return 0;
}

const char* give_error(ArrowArrayStream* /*stream*/) { return nullptr; }

void release_stream(ArrowArrayStream* stream) {
    delete static_cast<flag_stream*>(stream->private_data);  // NOLINT: as handed over
    stream->release = nullptr;
}

}  // namespace

table_flags::table_flags(const table& from, const limits& in_force, std::vector<std::size_t> checks,
                         std::size_t threads)
    : rows_(from.rows()), checks_(std::move(checks)) {
    const table::views views(from);
    const vital_columns& columns = views.columns();
    make_room(columns.rows());
    share_out_rows(columns.rows(), threads, [&](std::size_t begin, std::size_t end) {
        std::vector<std::uint32_t> masks;
        for (const auto& [needs, bits] : evaluated_by_needs_) {
            masks.push_back(needs);
        }
        examine_rows(columns, begin, end, in_force,
                     [&](const block_result& block) { take(block, masks); });
    });
    if (!views.order().empty()) {
        put_back(views.order(), threads);
    }
    leave_out_rows_without_signs(from);
}

void table_flags::make_room(std::size_t rows) {
    fired_.assign(checks_.size(), words(words_for(rows)));
    for (const std::size_t check : checks_) {
        auto& shared = evaluated_by_needs_[check_needs[check]];
        if (shared == nullptr) {
            shared = std::make_shared<words>(words_for(rows));
        }
        evaluated_.push_back(shared);
    }
}

void table_flags::take(const block_result& block, const std::vector<std::uint32_t>& masks) {
    const std::size_t first = block.first_row / word_rows;
    const std::size_t used = (block.rows + word_rows - 1) / word_rows;
    const std::size_t left = block.rows % word_rows;
    const auto rows_of = [&](std::size_t word) {
        return word + 1 == used && left != 0 ? (flag_word{1} << left) - 1 : ~flag_word{0};
    };
    for (std::size_t at = 0; at < checks_.size(); ++at) {
        const block_bits& bits = block.flags.fired[checks_[at]];
        for (std::size_t word = 0; word < used && block.flags.any_fired[checks_[at]]; ++word) {
            fired_[at][first + word] = bits[word] & rows_of(word);
        }
    }
    for (const std::uint32_t needs : masks) {
        words& bits = *evaluated_by_needs_.find(needs)->second;
        for (std::size_t word = 0; word < used; ++word) {
            bits[first + word] = block.flags.evaluated(needs, word) & rows_of(word);
        }
    }
}

void table_flags::put_back(const std::vector<std::size_t>& order, std::size_t threads) {
    std::vector<words*> all;
    for (words& bits : fired_) {
        all.push_back(&bits);
    }
    for (auto& [needs, bits] : evaluated_by_needs_) {
        all.push_back(bits.get());
    }
    share_out(all.size(), threads,
              [&](std::size_t i) { *all[i] = python::put_back(*all[i], order, rows_); });
}

/// A row without any vital sign is no set, and nothing is asked of it.
void table_flags::leave_out_rows_without_signs(const table& from) {
    words sets(words_for(rows_));
    for (std::size_t row = 0; row < rows_; ++row) {
        sets[row / word_rows] |= static_cast<flag_word>(from.is_set(row)) << (row % word_rows);
    }
    for (auto& [needs, bits] : evaluated_by_needs_) {
        for (std::size_t word = 0; word < sets.size(); ++word) {
            (*bits)[word] &= sets[word];
        }
    }
}

void export_flags(std::shared_ptr<const table_flags> flags, ArrowSchema& schema,
                  ArrowArray& array) {
    outgoing_field fields{"", "+s", {}};
    outgoing_array columns{.length = static_cast<std::int64_t>(flags->rows()),
                           .buffers = {nullptr}};
    for (std::size_t at = 0; at < flags->checks().size(); ++at) {
        fields.children.push_back(field_of(*flags, at));
        columns.children.push_back(column_of(*flags, at));
    }
    export_schema(fields, schema);
    export_array(columns, flags, array);
}

void export_flags(std::shared_ptr<const table_flags> flags, ArrowArrayStream& stream) {
    stream = {.get_schema = &give_schema,
              .get_next = &give_next,
              .get_last_error = &give_error,
              .release = &release_stream,
              .private_data = nullptr};
    stream.private_data = new flag_stream{std::move(flags)};  // NOLINT: released by the above
}

void export_flag(std::shared_ptr<const table_flags> flags, std::size_t at, ArrowSchema& schema,
                 ArrowArray& array) {
    export_schema(field_of(*flags, at), schema);
    export_array(column_of(*flags, at), flags, array);
}

}  // namespace vitalproof::python
