#include "read/delimiter.hpp"

#include "read/columns.hpp"
#include "read/text.hpp"

#include <algorithm>
#include <array>
#include <compare>
#include <vector>

namespace vitalproof::read {

namespace {

constexpr std::array candidates{',', ';', '\t', '|'};
constexpr std::size_t lines_to_judge = 20;  // titles may stand above the header
constexpr std::size_t most_cells_judged = 256;

// Takes a piece off the front, up to a character outside quotes that `ends` it, and that character.
template <class Ends>
std::string_view take_until(std::string_view& text, Ends ends) {
    bool quoted = false;
    std::size_t at = 0;
    for (; at < text.size() && (quoted || !ends(text[at])); ++at) {
        quoted ^= text[at] == '"';
    }
    const std::string_view taken = text.substr(0, at);
    text.remove_prefix(std::min(at + 1, text.size()));
    return taken;
}

// How well a delimiter fits a line; what comes first counts most.
struct fit {
    bool is_header = false;  // all that a header needs
    std::size_t named = 0;   // cells that name a column
    std::size_t cells = 0;

    friend auto operator<=>(const fit&, const fit&) = default;
};

fit fit_of(std::string_view line, char delimiter) {
    std::vector<std::string_view> cells;
    while (!line.empty() && cells.size() < most_cells_judged) {
        std::string_view cell =
            trimmed(take_until(line, [delimiter](char c) { return c == delimiter; }));
        if (cell.size() > 1 && cell.starts_with('"') && cell.ends_with('"')) {
            cell = cell.substr(1, cell.size() - 2);
        }
        cells.push_back(cell);
    }
    if (cells.size() < 2) {
        return {};
    }
    const header_outcome seen = understand_header(cells);
    const auto named = std::ranges::count_if(
        seen.columns.columns, [](const column& c) { return c.role != column_role::ignored; });
    return {!seen.error, static_cast<std::size_t>(named), cells.size()};
}

}  // namespace

char choose_delimiter(std::string_view first_bytes) {
    char best = ',';
    fit best_fit{};
    std::size_t lines = 0;
    while (!first_bytes.empty() && lines < lines_to_judge && !best_fit.is_header) {
        const std::string_view line =
            take_until(first_bytes, [](char c) { return c == '\n' || c == '\r'; });
        if (is_blank(line)) {
            continue;
        }
        for (const char delimiter : candidates) {
            fit here = fit_of(line, delimiter);
            here.cells = lines == 0 ? here.cells : 0;
            if (here > best_fit) {
                best = delimiter;
                best_fit = here;
            }
        }
        ++lines;
    }
    return best;
}

std::string_view name_of_delimiter(char delimiter) {
    switch (delimiter) {
        case ';':
            return "semicolon";
        case '\t':
            return "tab";
        case '|':
            return "vertical bar";
        default:
            return "comma";
    }
}

}  // namespace vitalproof::read
