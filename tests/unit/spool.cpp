// The spool, held against a plain map of vectors.
#include "audit/spool.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <map>
#include <vector>

using namespace vitalproof::audit;

namespace {

struct numbered {
    std::uint64_t number;
    std::uint64_t square;

    friend bool operator==(const numbered&, const numbered&) = default;
};
using numbered_spool = spool<numbered>;

numbered record(std::uint64_t i) { return {i, i * i}; }

/// A part in the order in which it was added to.
std::vector<numbered> whole_part(numbered_spool& of, std::size_t part) {
    std::vector<numbered> whole;
    of.read_part_backwards(part, [&](const numbered& each) { whole.push_back(each); });
    std::ranges::reverse(whole);
    return whole;
}

}  // namespace

TEST_CASE("a part is everything that was added to it, in order") {
    // Some hold as little as fits in memory, some far more.
    const std::uint64_t count = GENERATE(0U, 1U, 1000U, 400'000U);
    numbered_spool held;
    std::map<std::size_t, std::vector<numbered>> expected;
    for (std::uint64_t i = 0; i < count; ++i) {
        const std::size_t part = (i * i * 2'654'435'761U >> 7U) % numbered_spool::parts;
        held.add(part, record(i));
        expected[part].push_back(record(i));
    }
    std::size_t filled = 0;
    for (std::size_t part = 0; part < numbered_spool::parts; ++part) {
        const auto whole = whole_part(held, part);
        filled += whole.empty() ? 0U : 1U;
        CHECK((whole == expected[part]));
    }
    CHECK((filled == 0) == (count == 0));
    CHECK(!held.failed());
}

TEST_CASE("a part may be of any size, and grow after it was read") {
    numbered_spool held;
    std::vector<numbered> expected;
    for (std::uint64_t i = 0; i < 3 * numbered_spool::records_of_block + 2; ++i) {
        held.add(5, record(i));
        expected.push_back(record(i));
        REQUIRE((whole_part(held, 5) == expected));
    }
    CHECK(whole_part(held, 4).empty());
}

TEST_CASE("records of any size fill a block of one size") {
    spool<char> held;
    CHECK(spool<char>::records_of_block == spool<char>::block_size - 8);
    for (std::size_t i = 0; i < 2 * spool<char>::records_of_block; ++i) {
        held.add(0, static_cast<char>('a' + i % 7));
    }
    std::size_t at = 2 * spool<char>::records_of_block;
    bool same = true;
    held.read_part_backwards(
        0, [&](char c) { same = same && c == static_cast<char>('a' + --at % 7); });
    CHECK(same);
    CHECK(at == 0);
}
