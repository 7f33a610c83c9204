#include "read/report_file.hpp"

#include "read/fhir.hpp"
#include "read/file_kind.hpp"
#include "read/nemsis.hpp"
#include "read/peeking_source.hpp"

namespace vitalproof::read {

namespace {

constexpr std::size_t bytes_to_tell = 4096;  // blank lines before the first character included

}  // namespace

delimited_outcome read_reports(byte_source& source, std::string_view file_name,
                               const delimited_options& options, sink& into, half_runner* halves) {
    peeking_source first(source);
    switch (kind_of(first.peek(bytes_to_tell))) {
        case file_kind::fhir:
            return read_fhir(first, file_name, options, into);
        case file_kind::xml:
            return read_nemsis(first, file_name, options, into, {}, halves);
        case file_kind::delimited:
            break;
    }
    return read_delimited(first, file_name, options, into);
}

delimited_outcome read_report_file(const std::string& path, const delimited_options& options,
                                   sink& into, const std::atomic<bool>* stop) {
    const opened_file file = open_file(path, stop);
    if (file.source == nullptr) {
        delimited_outcome outcome;
        outcome.error = file_error{file.error, file.remedy};
        return outcome;
    }
    return read_reports(*file.source, shown_name(path), options, into);
}

}  // namespace vitalproof::read
