// The flags of the same random rows, computed header-only and by the compiled library.
// Used by both_ways.cpp. Promises nothing of vitalproof in its signatures: the two namespaces of a
// program that holds both must not meet here.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

struct flags_one_way {
    std::string names_the_namespace;
    std::vector<std::vector<std::uint32_t>> by_columns;
    std::vector<std::vector<std::uint32_t>> by_records;
    std::vector<std::string> fingerprints;
};

flags_one_way flags_header_only(std::uint64_t seed, std::size_t rows);
flags_one_way flags_compiled(std::uint64_t seed, std::size_t rows);
