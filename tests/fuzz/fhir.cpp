// FHIR: a stream of JSON into reports, whole and in pieces, within small and within usual bounds.
#include "read/fhir.hpp"

#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace fuzzing;
    bytes from(text_of(data, size));
    const std::size_t step = 1 + from.below(64);
    const std::string text(from.rest());
    const auto within = [](const read::json_bounds& bounds) {
        return [bounds](read::byte_source& source, read::sink& into) {
            return read::read_fhir(source, "fuzz.ndjson", {}, into, bounds);
        };
    };
    (void)told_in_any_pieces(text, step, within({}));
    (void)told_in_any_pieces(text, step, within({.longest = 300, .deepest = 8}));
    return 0;
}
