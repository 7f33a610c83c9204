#include "read/column_mapping.hpp"

#include "read/column_names.hpp"
#include "read/suggest.hpp"
#include "read/text.hpp"

#include <algorithm>

namespace vitalproof::read {

namespace {

std::string quoted(std::string_view text) { return '"' + std::string(text) + '"'; }

// Whether two names have the same letters and digits. Letters beyond ASCII are none of these, so
// that names with such are compared as they stand alone.
bool alike(std::string_view a, std::string_view b) {
    const auto plain = [](std::string_view text) {
        return std::ranges::all_of(text, [](char c) { return (c & 0x80) == 0; });
    };
    const std::string key = header_key(a);
    return !key.empty() && plain(a) && plain(b) && header_key(b) == key;
}

// The cells of a header that a mapping's column may mean: those that read the same or, where none
// does, those that are alike.
std::vector<std::size_t> cells_meant(const std::string& name,
                                     std::span<const std::string_view> header) {
    std::vector<std::size_t> exact;
    std::vector<std::size_t> similar;
    for (std::size_t i = 0; i < header.size(); ++i) {
        const std::string_view cell = trimmed(header[i]);
        if (cell == name || shown_header(cell) == name) {
            exact.push_back(i);
        } else if (alike(name, cell)) {
            similar.push_back(i);
        }
    }
    return exact.empty() ? similar : exact;
}

file_error not_in_header(const column_mapping& mapping, const mapped_column& column,
                         std::span<const std::string_view> header) {
    std::vector<std::string> names;
    for (const std::string_view cell : header) {
        names.push_back(shown_header(cell));
    }
    return {"the mapping " + mapping.file + " has " + quoted(column.header) +
                ", and this file no such column." + suggestion(column.header, names),
            "write headers as they stand in the file, or take the line out"};
}

}  // namespace

const mapped_sign* column_mapping::find_sign(std::string_view name) const {
    const mapped_sign* similar = nullptr;
    for (const mapped_sign& known : signs) {
        if (known.name == name || known.name == shown_header(name)) {
            return &known;
        }
        if (similar == nullptr && alike(known.name, name)) {
            similar = &known;
        }
    }
    return similar;
}

mapped_header find_mapped(const column_mapping& mapping, std::span<const std::string_view> header) {
    mapped_header found;
    found.columns.resize(header.size());
    for (const mapped_column& column : mapping.columns) {
        const auto cells = cells_meant(column.header, header);
        if (cells.empty()) {
            found.error = not_in_header(mapping, column, header);
            return found;
        }
        const mapped_column*& at = found.columns[cells.front()];
        if (cells.size() > 1 || at != nullptr) {
            found.error =
                file_error{"the mapping " + mapping.file + " has " + quoted(column.header) +
                               (at != nullptr ? ", a column that it names twice"
                                              : ", and this file more than one such column"),
                           "write each header once, as it stands in the file, or rename a column"};
            return found;
        }
        at = &column;
    }
    return found;
}

}  // namespace vitalproof::read
