// The spool, held against a plain map of strings.
#include "audit/spool.hpp"

#include <catch2/catch.hpp>

#include <cstdint>
#include <map>
#include <string>
#include <string_view>

using namespace vitalproof::audit;

namespace {

std::string record(std::uint64_t i) {
    return std::to_string(i) + std::string(static_cast<std::size_t>(i % 41), 'x') + ";";
}

std::string whole_part(spool& of, std::size_t part) {
    std::string whole;
    of.read_part(part, [&](std::string_view records) { whole += records; });
    return whole;
}

}  // namespace

TEST_CASE("a part is everything that was added to it, in order") {
    // Some hold as little as fits in memory, some far more.
    const std::uint64_t count = GENERATE(0U, 1U, 1000U, 400'000U);
    spool held;
    std::map<std::size_t, std::string> expected;
    for (std::uint64_t i = 0; i < count; ++i) {
        const std::size_t part = (i * i * 2'654'435'761U >> 7U) % spool::parts;
        held.add(part, record(i));
        expected[part] += record(i);
    }
    std::size_t filled = 0;
    for (std::size_t part = 0; part < spool::parts; ++part) {
        const std::string whole = whole_part(held, part);
        filled += whole.empty() ? 0U : 1U;
        CHECK((whole == expected[part]));
    }
    CHECK((filled == 0) == (count == 0));
    CHECK(!held.failed());
}

TEST_CASE("a block holds whole records, and the last of a part may be of any size") {
    spool held;
    const std::string longest(spool::longest_record, 'y');
    const std::size_t count = 3 * spool::block_size / spool::longest_record;
    for (std::size_t i = 0; i < count; ++i) {
        held.add(5, longest);
        std::size_t records = 0;
        held.read_part(5, [&](std::string_view block) {
            CHECK(block.size() % spool::longest_record == 0);
            records += block.size() / spool::longest_record;
        });
        CHECK(records == i + 1);
    }
}

TEST_CASE("a part may be read twice, and grow in between") {
    spool held;
    held.add(3, "one");
    CHECK(whole_part(held, 3) == "one");
    std::string expected = "one";
    for (int i = 0; i < 100; ++i) {
        held.add(3, std::string(spool::longest_record, 'y'));
        expected.append(spool::longest_record, 'y');
    }
    held.add(3, "two");
    CHECK(whole_part(held, 3) == expected + "two");
    CHECK(whole_part(held, 4).empty());
}
