// A limits file: refused whole, or what is printed of it reads back to the same limits.
#include "fuzz.hpp"
#include "read/limits_file.hpp"
#include "write/limits_toml.hpp"

namespace {

/// What is printed without its comments, which say where each figure came from.
std::string figures_in(std::string printed) {
    for (std::size_t at = 0; (at = printed.find('#', at)) != std::string::npos;) {
        printed.erase(at, std::min(printed.find('\n', at), printed.size()) - at);
    }
    return printed;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace fuzzing;
    const std::string defaults = write::limits_as_toml({});
    read::sourced_limits in_force;
    const auto errors = read::apply_limits(text_of(data, size), "fuzz.toml", in_force);
    for (const auto& error : errors) {
        require(error.text.find("fuzz.toml") != std::string::npos, "an error names its file");
    }
    const std::string printed = write::limits_as_toml(in_force);
    if (!errors.empty()) {
        require(printed == defaults, "of a file with an error nothing is taken");
        return 0;
    }
    read::sourced_limits again;
    require(read::apply_limits(printed, "fuzz.toml", again).empty(), "what is printed reads back");
    require(figures_in(write::limits_as_toml(again)) == figures_in(printed), "to the same limits");
    return 0;
}
