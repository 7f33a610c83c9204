// Delimited text: cells against libcsv where that takes the text, and whole files into reports.
#include "fuzz.hpp"
#include "read/tokenizer.hpp"

#include <csv.h>

#include <optional>
#include <utility>
#include <vector>

namespace {

using namespace fuzzing;
using table = std::vector<std::vector<std::string>>;

// None where libcsv finds a quote out of place: there it does otherwise on purpose.
std::optional<table> cells_by_libcsv(std::string_view text) {
    struct collector {
        table rows{};
        std::vector<std::string> row{};
    } kept;
    csv_parser parser;
    require(csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) == 0, "libcsv starts");
    csv_set_space_func(&parser, [](unsigned char) { return 0; });
    const auto on_cell = [](void* cell, std::size_t size, void* to) {
        static_cast<collector*>(to)->row.emplace_back(static_cast<const char*>(cell), size);
    };
    const auto on_row = [](int, void* to) {
        auto& collected = *static_cast<collector*>(to);
        collected.rows.push_back(std::exchange(collected.row, {}));
    };
    const bool taken =
        csv_parse(&parser, text.data(), text.size(), on_cell, on_row, &kept) == text.size() &&
        csv_fini(&parser, on_cell, on_row, &kept) == 0;
    csv_free(&parser);
    return taken ? std::optional(std::move(kept.rows)) : std::nullopt;
}

table cells_of(std::string_view text, std::size_t piece) {
    read::memory_source source(text);
    read::tokenizer_options options;
    options.piece_bytes = piece;
    read::tokenizer tokens(source, options);
    table rows;
    for (read::token_row row; tokens.next(row);) {
        rows.emplace_back(row.cells.begin(), row.cells.end());
        require(row.fault == read::row_fault::none || row.fault == read::row_fault::nul ||
                    row.cells.empty(),
                "a row with a fault has no cells");
    }
    return rows;
}

bool is_within_the_bounds(std::string_view text) {
    return text.find('\0') == std::string_view::npos && !text.starts_with("\xEF\xBB\xBF") &&
           std::ranges::count(text, '\n') + std::ranges::count(text, '\r') < 900;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    bytes from(text_of(data, size));
    const std::size_t step = 1 + from.below(64);
    const std::string text(from.rest());
    const table ours = cells_of(text, 1 << 16);
    require(ours == cells_of(text, step), "the size of a piece changes no cell");
    if (is_within_the_bounds(text)) {
        const auto theirs = cells_by_libcsv(text);
        require(!theirs || *theirs == ours, "libcsv reads the same cells");
    }
    (void)told_in_any_pieces(text, step, [step](read::byte_source& source, read::sink& into) {
        read::delimited_options options;
        options.text.piece_bytes = step;
        return read::read_delimited(source, "fuzz.csv", options, into);
    });
    return 0;
}
