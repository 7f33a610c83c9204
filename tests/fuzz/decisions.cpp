// A file of decisions: refused, or a list of decisions each known by its fingerprint.
#include "fuzz.hpp"
#include "read/decisions_file.hpp"

#include <set>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace fuzzing;
    const auto outcome = read::parse_decisions(text_of(data, size), "fuzz.json");
    for (const std::string& error : outcome.errors) {
        require(error.find("fuzz.json") != std::string::npos, "an error names its file");
    }
    std::set<std::string> known;
    for (const read::decision& d : outcome.decisions.all()) {
        require(d.fingerprint.size() == 20, "a decision has its finding's fingerprint");
        require(known.insert(d.fingerprint).second, "and is the only one about it");
        require(!read::name_of(d.what).empty(), "and one of four words");
    }
    return 0;
}
