#include "flags.hpp"

#include "arrow_out.hpp"
#include "parallel.hpp"

#include <cstdlib>
#include <new>
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

/// Which bits of a block speak of a row: all but those past the last.
block_bits rows_of(const block_result& block) {
    block_bits rows{};
    for (std::size_t row = 0; row < block.rows; row += word_rows) {
        const std::size_t left = block.rows - row;
        rows[row / word_rows] = left < word_rows ? (flag_word{1} << left) - 1 : ~flag_word{0};
    }
    return rows;
}

void put(const block_bits& bits, const block_bits& rows, table_flags::words& into,
         std::size_t first) {
    for (std::size_t word = 0; word < block_words && rows[word] != 0; ++word) {
        into[first + word] = bits[word] & rows[word];
    }
}

/// The rows of a block that have any sign, where numbers are all there is.
block_bits sets_of(const block_result& block, const table& from) {
    block_bits sets{};
    if (block.flags.any_odd != 0) {  // an infinity: no number, but not absent
        for (std::size_t row = 0; row < block.rows; ++row) {
            sets[row / word_rows] |= flag_word{from.has_number(block.first_row + row)}
                                     << (row % word_rows);
        }
        return sets;
    }
    for (const block_bits& numbers : block.flags.numbers) {
        for (std::size_t word = 0; word < block_words; ++word) {
            sets[word] |= numbers[word];
        }
    }
    return sets;
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

zeroed_words::zeroed_words(std::size_t count)
    : words_(static_cast<flag_word*>(std::calloc(count, sizeof(flag_word)))) {  // NOLINT: see above
    if (words_ == nullptr && count != 0) {
        throw std::bad_alloc();
    }
}

void zeroed_words::release::operator()(flag_word* words) const { std::free(words); }  // NOLINT

table_flags::table_flags(const table& from, const limits& in_force, std::vector<std::size_t> checks,
                         std::size_t threads)
    : rows_(from.rows()), checks_(std::move(checks)) {
    const table::views views(from);
    const vital_columns& columns = views.columns();
    make_room(columns.rows());
    share_out_rows(columns.rows(), threads, [&](std::size_t begin, std::size_t end) {
        examine_rows(columns, begin, end, in_force,
                     [&](const block_result& block) { take(block, from); });
    });
    if (!views.order().empty()) {
        put_back(views.order(), threads);
    }
    if (from.has_found_sets()) {
        leave_out_rows_without_signs(from);
    }
}

void table_flags::make_room(std::size_t rows) {
    for (std::size_t i = 0; i < checks_.size(); ++i) {
        fired_.emplace_back(words_for(rows));
    }
    for (const std::size_t check : checks_) {
        auto& shared = evaluated_by_needs_[check_needs[check]];
        if (shared == nullptr) {
            shared = std::make_shared<words>(words_for(rows));
        }
        evaluated_.push_back(shared);
    }
}

void table_flags::take(const block_result& block, const table& from) {
    const std::size_t first = block.first_row / word_rows;
    const block_bits rows = rows_of(block);
    for (std::size_t at = 0; at < checks_.size(); ++at) {
        if (block.flags.any_fired[checks_[at]]) {
            put(block.flags.fired[checks_[at]], rows, fired_[at], first);
        }
    }
    for (auto& [needs, bits] : evaluated_by_needs_) {
        const bool asked_of_all = needs == 0 && !from.has_found_sets();
        put(asked_of_all ? sets_of(block, from) : block.flags.evaluated(needs), rows, *bits, first);
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

/// A row without any vital sign is no set, and nothing is asked of it: of the checks that need no
/// number, since the others are not asked of it anyhow.
void table_flags::leave_out_rows_without_signs(const table& from) {
    const auto asked_of_all = evaluated_by_needs_.find(0);
    for (std::size_t row = 0; row < rows_ && asked_of_all != evaluated_by_needs_.end(); ++row) {
        if (!from.is_set(row)) {
            (*asked_of_all->second)[row / word_rows] &= ~(flag_word{1} << (row % word_rows));
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
