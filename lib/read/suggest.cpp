#include "read/suggest.hpp"

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <vector>

namespace vitalproof::read {

namespace {

/// Single-character edits between two names (Levenshtein).
std::size_t edits_between(std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 0; i < a.size(); ++i) {
        std::size_t diagonal = row[0]++;
        for (std::size_t j = 0; j < b.size(); ++j) {
            const std::size_t changed = diagonal + (a[i] == b[j] ? 0U : 1U);
            diagonal = row[j + 1];
            row[j + 1] = std::min({row[j + 1] + 1, row[j] + 1, changed});
        }
    }
    return row.back();
}

}  // namespace

std::string suggestion(std::string_view mistyped, std::span<const std::string> known) {
    std::string_view nearest;
    std::size_t fewest = std::max<std::size_t>(2, mistyped.size() / 3) + 1;
    for (const std::string& name : known) {
        const std::size_t edits = edits_between(mistyped, name);
        if (edits < fewest) {
            fewest = edits;
            nearest = name;
        }
    }
    return nearest.empty() ? std::string() : " Did you mean \"" + std::string(nearest) + "\"?";
}

}  // namespace vitalproof::read
