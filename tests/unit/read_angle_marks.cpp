// Where angle brackets stand, found by whatever code this processor has.
#include "read/angle_marks.hpp"

#include <catch2/catch.hpp>

#include <cstddef>
#include <cstdint>
#include <memory>
#include <random>
#include <string>
#include <string_view>
#include <vector>

using vitalproof::read::angle_marks;
using vitalproof::read::mark_angles;

namespace {

struct found {
    std::vector<std::uint16_t> places{};
    bool any_nul = false;

    friend bool operator==(const found&, const found&) = default;
};

found by_marks(std::string_view text) {
    const auto marks = std::make_unique<angle_marks>();
    marks->any_nul = true;  // as another window may have left it
    mark_angles(text.data(), text.size(), *marks);
    return {{marks->places.begin(), marks->places.begin() + marks->count}, marks->any_nul};
}

found one_by_one(std::string_view text) {
    found all;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '<' || text[i] == '>') {
            all.places.push_back(static_cast<std::uint16_t>(i));
        }
        all.any_nul = all.any_nul || text[i] == '\0';
    }
    return all;
}

}  // namespace

TEST_CASE("every angle bracket is marked, and nothing else") {
    // Neighbours of the brackets in the alphabet, a byte beyond ASCII, and the one between them.
    constexpr std::string_view any_of("<>=;?|~\xBC\xBE\n a", 12);
    const std::size_t of_these = GENERATE(1U, 2U, 12U);  // all '<', all brackets, few of them
    std::mt19937 dice(20260301);
    for (std::size_t size = 0; size < 300; ++size) {
        // Of its own size, so that a look behind it is one at memory that is not its own.
        std::vector<char> text(size);
        for (char& c : text) {
            c = any_of[dice() % of_these];
        }
        const std::string_view whole(text.data(), text.size());
        CAPTURE(size);
        REQUIRE(by_marks(whole) == one_by_one(whole));
    }
}

TEST_CASE("a window full of brackets, and a NUL wherever it stands") {
    std::string text(angle_marks::window, '>');
    CHECK(by_marks(text) == one_by_one(text));
    const std::size_t at = GENERATE(0U, 31U, 32U, 63U, 64U, 100U, 8191U);
    text[at] = '\0';
    const found all = by_marks(text);
    CHECK(all.any_nul);
    CHECK(all == one_by_one(text));
}
