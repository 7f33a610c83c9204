// bench_walk libxml2|expat FILE: walks a document with a general parser and counts its reports and
// their groups of vital signs, no more; prints seconds and counts as JSON. The file lies in memory
// as a whole, mapped, so that neither parser pays for reading in pieces.
#include "measure.hpp"

#include <expat.h>
#include <fcntl.h>
#include <libxml/SAX2.h>
#include <libxml/parser.h>
#include <libxml/parserInternals.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdint>
#include <cstdio>
#include <cstring>
#include <exception>
#include <stdexcept>
#include <string>

namespace {

struct counts {
    std::uint64_t reports = 0;
    std::uint64_t groups = 0;
};

// Parts of one mapped file; it goes with the program.
struct mapped_file {
    const char* bytes;
    int size;
};

mapped_file map(const char* path) {
    const int file = ::open(path, O_RDONLY | O_CLOEXEC);
    struct stat about {};
    if (file < 0 || ::fstat(file, &about) != 0) {
        throw std::runtime_error(std::string(path) + " could not be opened");
    }
    const auto size = static_cast<std::size_t>(about.st_size);
    void* bytes = ::mmap(nullptr, size, PROT_READ, MAP_PRIVATE | MAP_POPULATE, file, 0);
    ::close(file);
    if (bytes == MAP_FAILED || size > 0x7fffffff) {
        throw std::runtime_error(std::string(path) + " could not be mapped");
    }
    return {static_cast<const char*>(bytes), static_cast<int>(size)};
}

void count(counts& so_far, const char* name) {
    so_far.reports += std::strcmp(name, "PatientCareReport") == 0 ? 1U : 0U;
    so_far.groups += std::strcmp(name, "eVitals.VitalGroup") == 0 ? 1U : 0U;
}

void libxml2_begins(void* context, const xmlChar* name, const xmlChar* /*prefix*/,
                    const xmlChar* /*uri*/, int /*namespaces*/, const xmlChar** /*declared*/,
                    int /*attributes*/, int /*defaulted*/, const xmlChar** /*values*/) {
    count(*static_cast<counts*>(context), reinterpret_cast<const char*>(name));
}

counts walk_with_libxml2(const mapped_file& file) {
    counts seen;
    xmlSAXHandler handler{};
    handler.initialized = XML_SAX2_MAGIC;
    handler.startElementNs = &libxml2_begins;
    xmlParserCtxtPtr parser = xmlCreateMemoryParserCtxt(file.bytes, file.size);
    if (parser == nullptr) {
        throw std::runtime_error("libxml2 has no parser");
    }
    xmlSAXHandlerPtr own = parser->sax;
    parser->sax = &handler;
    parser->userData = &seen;
    xmlCtxtUseOptions(parser, XML_PARSE_HUGE | XML_PARSE_NONET);
    const bool well_formed = xmlParseDocument(parser) == 0;
    parser->sax = own;
    xmlFreeParserCtxt(parser);
    if (!well_formed) {
        throw std::runtime_error("libxml2 refuses the document");
    }
    return seen;
}

void expat_begins(void* context, const XML_Char* name, const XML_Char** /*attributes*/) {
    count(*static_cast<counts*>(context), name);
}

counts walk_with_expat(const mapped_file& file) {
    counts seen;
    XML_Parser parser = XML_ParserCreate(nullptr);
    XML_SetUserData(parser, &seen);
    XML_SetStartElementHandler(parser, &expat_begins);
    const bool well_formed = XML_Parse(parser, file.bytes, file.size, XML_TRUE) == XML_STATUS_OK;
    XML_ParserFree(parser);
    if (!well_formed) {
        throw std::runtime_error("expat refuses the document");
    }
    return seen;
}

}  // namespace

int main(int argument_count, char** words) try {
    const std::string with = argument_count == 3 ? words[1] : "";
    if (with != "libxml2" && with != "expat") {
        std::fprintf(stderr, "usage: %s libxml2|expat FILE\n", words[0]);
        return 2;
    }
    const mapped_file file = map(words[2]);
    counts seen;
    const double seconds = bench::seconds_of(
        [&] { seen = with == "expat" ? walk_with_expat(file) : walk_with_libxml2(file); });
    std::printf("{\"seconds\": %.9f, \"reports\": %llu, \"groups\": %llu}\n", seconds,
                static_cast<unsigned long long>(seen.reports),
                static_cast<unsigned long long>(seen.groups));
    return 0;
} catch (const std::exception& error) {
    std::fprintf(stderr, "bench_walk: %s\n", error.what());
    return 1;
}
