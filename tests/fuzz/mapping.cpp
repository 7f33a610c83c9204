// A mapping: refused, or a way to read a table in which every row is still accounted for.
#include "fuzz.hpp"
#include "read/mapping_file.hpp"

#include <memory>

namespace {

constexpr std::string_view table =
    "Run,Unit,When,Sys,Dia,HR,What,Value,Of\n"
    "26-1,M1,2026-03-01T10:00Z,120,80,72,pulse,72,/min\n"
    "26-1,M1,2026-03-01T10:05Z,72,118,HI,SBP,16,kPa\n"
    "26-2,M2,03/04/2026 10:05,,,,,,\n"
    "26-3,M2,,refused,80,9O,Mary,12O,\n";

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace fuzzing;
    auto parsed = read::parse_mapping(text_of(data, size), "fuzz.toml");
    for (const std::string& error : parsed.errors) {
        require(error.find("fuzz.toml") != std::string::npos, "an error names its file");
    }
    if (!parsed.errors.empty()) {
        return 0;
    }
    read::delimited_options options;
    options.mapping = std::make_shared<read::column_mapping>(std::move(parsed.mapping));
    read::memory_source source(table);
    (void)told_by(source, [&](read::byte_source& from, read::sink& into) {
        return read::read_delimited(from, "table.csv", options, into);
    });
    return 0;
}
