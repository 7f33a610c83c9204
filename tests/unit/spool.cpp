// The spool, held against a plain map of strings.
#include "audit/spool.hpp"

#include <catch2/catch.hpp>

#include <cstdint>
#include <map>
#include <string>

using namespace vitalproof::audit;

namespace {

std::string record(std::uint64_t i) {
    return std::to_string(i) + std::string(static_cast<std::size_t>(i % 97), 'x') + ";";
}

}  // namespace

TEST_CASE("a part is everything that was added to it, in order") {
    // Some hold as little as fits in memory, some far more.
    const std::uint64_t count = GENERATE(0U, 1U, 1000U, 400'000U);
    spool held;
    std::map<std::size_t, std::string> expected;
    for (std::uint64_t i = 0; i < count; ++i) {
        const std::uint64_t key = i * i * 2'654'435'761U >> 7U;
        held.add(key, record(i));
        expected[key % spool::parts] += record(i);
    }
    std::size_t filled = 0;
    for (std::size_t part = 0; part < spool::parts; ++part) {
        const std::string whole = held.part(part);
        filled += whole.empty() ? 0U : 1U;
        CHECK((whole == expected[part]));
    }
    CHECK((filled == 0) == (count == 0));
    CHECK(!held.failed());
}

TEST_CASE("a part may be read twice, and grow in between") {
    spool held;
    held.add(3, "one");
    CHECK(held.part(3) == "one");
    held.add(3 + spool::parts, std::string(2 * spool::held_of_a_part, 'y'));
    held.add(3, "two");
    CHECK(held.part(3) == "one" + std::string(2 * spool::held_of_a_part, 'y') + "two");
    CHECK(held.part(4).empty());
}
