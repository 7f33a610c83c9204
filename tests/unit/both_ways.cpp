// One program that holds the library both ways: header-only in one file, compiled in another.
#include "both_ways.hpp"

#include <catch2/catch.hpp>

TEST_CASE("header-only and compiled agree in one program") {
    const std::uint64_t seed = GENERATE(21U, 22U, 23U);
    const flags_one_way header_only = flags_header_only(seed, 3000);
    const flags_one_way compiled = flags_compiled(seed, 3000);
    CHECK(header_only.names_the_namespace != compiled.names_the_namespace);
    CHECK(header_only.by_columns == compiled.by_columns);
    CHECK(header_only.by_records == compiled.by_records);
    CHECK(header_only.fingerprints == compiled.fingerprints);
    CHECK(header_only.by_columns == compiled.by_records);
    CHECK(header_only.fingerprints.size() > 3000);
}
