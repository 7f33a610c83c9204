#include "read/form_checking_source.hpp"

#include <libxml/SAX2.h>
#include <libxml/parser.h>
#include <libxml/xmlerror.h>

#include <algorithm>
#include <climits>
#include <new>

namespace vitalproof::read {

namespace {

// libxml2's own messages quote the text, which may name somebody.
std::string_view words_for(int code) {
    switch (code) {
        case XML_ERR_TAG_NAME_MISMATCH:
            return "an end tag does not match its start tag";
        case XML_ERR_TAG_NOT_FINISHED:
        case XML_ERR_DOCUMENT_EMPTY:
        case XML_ERR_GT_REQUIRED:
            return "a tag does not end";
        case XML_ERR_DOCUMENT_END:
            return "something stands behind the end of its first element, or that has no end";
        case XML_ERR_UNDECLARED_ENTITY:
        case XML_WAR_UNDECLARED_ENTITY:
        case XML_ERR_ENTITYREF_SEMICOL_MISSING:
        case XML_ERR_NAME_REQUIRED:
            return "a name or an entity is not one that XML knows";
        case XML_ERR_INVALID_CHAR:
        case XML_ERR_INVALID_CHARREF:
        case XML_ERR_INVALID_ENCODING:
            return "a character is not allowed in XML";
        case XML_ERR_LT_IN_ATTRIBUTE:
        case XML_ERR_ATTRIBUTE_NOT_STARTED:
        case XML_ERR_ATTRIBUTE_NOT_FINISHED:
        case XML_ERR_ATTRIBUTE_WITHOUT_VALUE:
        case XML_ERR_ATTRIBUTE_REDEFINED:
        case XML_ERR_SPACE_REQUIRED:
            return "an attribute is not well-formed";
        case XML_ERR_COMMENT_NOT_FINISHED:
        case XML_ERR_HYPHEN_IN_COMMENT:
        case XML_ERR_CDATA_NOT_FINISHED:
        case XML_ERR_MISPLACED_CDATA_END:
        case XML_ERR_PI_NOT_FINISHED:
        case XML_ERR_RESERVED_XML_NAME:
            return "a comment, CDATA or processing instruction is not well-formed";
        case XML_ERR_INTERNAL_ERROR:
            return "elements lie too deep inside each other, or a tag is too long";
        default:
            return "it is not well-formed";
    }
}

constexpr int deepest = 256;  // as libxml2 has it for trees

struct noted_error {
    std::uint64_t line = 0;
    int code = XML_ERR_OK;
    int depth = 0;  // of the elements that are open
};

noted_error& noted_in(void* context) {
    return *static_cast<noted_error*>(static_cast<xmlParserCtxtPtr>(context)->_private);
}

// Warnings and what is said of namespaces do not count: well-formedness knows neither.
void note_error(void* context, xmlErrorPtr error) {
    noted_error& noted = noted_in(context);
    if (noted.code == XML_ERR_OK && error->level == XML_ERR_FATAL) {
        noted.line = static_cast<std::uint64_t>(std::max(error->line, 0));
        noted.code = error->code;
    }
}

// libxml2 remembers the names of all elements that are open; its own bound is on trees alone.
void note_start(void* context, const xmlChar* /*name*/, const xmlChar* /*prefix*/,
                const xmlChar* /*uri*/, int /*namespaces*/, const xmlChar** /*declared*/,
                int /*attributes*/, int /*defaulted*/, const xmlChar** /*values*/) {
    noted_error& noted = noted_in(context);
    if (++noted.depth > deepest && noted.code == XML_ERR_OK) {
        noted.line = static_cast<std::uint64_t>(std::max(xmlSAX2GetLineNumber(context), 0));
        noted.code = XML_ERR_INTERNAL_ERROR;
        xmlStopParser(static_cast<xmlParserCtxtPtr>(context));
    }
}

void note_end(void* context, const xmlChar* /*name*/, const xmlChar* /*prefix*/,
              const xmlChar* /*uri*/) {
    --noted_in(context).depth;
}

}  // namespace

// No handler of content but to count: nothing is kept, and no entity but XML's own five is known.
struct form_checking_source::parser {
    parser() {
        handler.initialized = XML_SAX2_MAGIC;
        handler.serror = note_error;
        handler.startElementNs = note_start;
        handler.endElementNs = note_end;
        context = xmlCreatePushParserCtxt(&handler, nullptr, nullptr, 0, nullptr);
        if (context == nullptr) {
            throw std::bad_alloc();
        }
        context->_private = &noted;
        xmlCtxtUseOptions(context, XML_PARSE_NONET | XML_PARSE_IGNORE_ENC);
    }
    ~parser() {
        xmlFreeDoc(context->myDoc);  // where a document type declared something
        xmlFreeParserCtxt(context);
    }
    parser(const parser&) = delete;
    parser& operator=(const parser&) = delete;

    xmlSAXHandler handler{};
    xmlParserCtxtPtr context = nullptr;
    noted_error noted{};
};

form_checking_source::form_checking_source(byte_source& from)
    : from_(from), parser_(std::make_unique<parser>()) {}

form_checking_source::~form_checking_source() = default;

std::ptrdiff_t form_checking_source::read(char* into, std::size_t size) {
    const std::ptrdiff_t got = from_.read(into, size);
    if (got >= 0 && !fault_) {
        check(into, static_cast<std::size_t>(got), got == 0);
    }
    return got;
}

void form_checking_source::check(const char* bytes, std::size_t size, bool at_end) {
    do {
        const std::size_t part = std::min(size, std::size_t{INT_MAX});
        xmlParseChunk(parser_->context, bytes, static_cast<int>(part), at_end ? 1 : 0);
        bytes += part;
        size -= part;
    } while (size != 0);
    if (parser_->context->wellFormed == 0 || parser_->noted.code != XML_ERR_OK) {
        fault_ = form_fault{parser_->noted.line, words_for(parser_->noted.code)};
    }
}

}  // namespace vitalproof::read
