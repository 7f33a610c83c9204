#include "read/file_kind.hpp"

#include "read/gzip_source.hpp"

#include <algorithm>
#include <array>

namespace vitalproof::read {

namespace {

struct signature {
    std::string_view bytes;
    std::string_view what;
    std::string_view remedy;
};

constexpr std::string_view unpack = "unpack it first";
constexpr std::string_view export_text = "export it as comma-separated text";
constexpr std::string_view save_utf8 = "save it as UTF-8";

constexpr std::array<signature, 11> signatures{{
    {"\x1F\x8B", "this is a gzip archive inside another", unpack},
    {"BZh", "this is a bzip2 archive", unpack},
    {"\xFD\x37zXZ", "this is an xz archive", unpack},
    {"\x28\xB5\x2F\xFD", "this is a Zstandard archive", unpack},
    {"PK\x03\x04", "this is a workbook or a ZIP archive", export_text},
    {"\xD0\xCF\x11\xE0", "this is an old workbook or document", export_text},
    {"PAR1", "this is a Parquet file", export_text},
    {"%PDF-", "this is a PDF document", export_text},
    {"\x89PNG", "this is a picture", "hand in the data it was made from"},
    {std::string_view("\xFF\xFE\0\0", 4), "this is UTF-32 text", save_utf8},
    {std::string_view("\0\0\xFE\xFF", 4), "this is UTF-32 text", save_utf8},
}};

}  // namespace

std::optional<file_error> refuse_as_text(std::string_view first_bytes) {
    if (first_bytes.empty()) {
        return file_error{"the file is empty", "check that its export finished"};
    }
    for (const signature& known : signatures) {
        if (first_bytes.starts_with(known.bytes)) {
            return file_error{std::string(known.what), std::string(known.remedy)};
        }
    }
    return std::nullopt;
}

namespace {

// An angle bracket of two bytes, behind a byte order mark or not.
bool is_xml_in_utf_16(std::string_view bytes) {
    const bool marked = bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF");
    bytes.remove_prefix(marked ? 2 : 0);
    return bytes.starts_with(std::string_view("<\0", 2)) ||
           bytes.starts_with(std::string_view("\0<", 2));
}

}  // namespace

file_kind kind_of(std::string_view first_bytes) {
    constexpr std::string_view mark = "\xEF\xBB\xBF";
    std::array<char, 256> unpacked{};
    if (first_bytes.starts_with(gzip_magic)) {
        memory_source packed(first_bytes);
        const std::ptrdiff_t got = gzip_source(packed).read(unpacked.data(), unpacked.size());
        first_bytes = {unpacked.data(), static_cast<std::size_t>(std::max<std::ptrdiff_t>(got, 0))};
    }
    first_bytes.remove_prefix(first_bytes.starts_with(mark) ? mark.size() : 0);
    const std::size_t at = first_bytes.find_first_not_of(" \t\r\n");
    const char first = at == std::string_view::npos ? '\0' : first_bytes[at];
    return first == '{'                                    ? file_kind::fhir
           : first == '<' || is_xml_in_utf_16(first_bytes) ? file_kind::xml
                                                           : file_kind::delimited;
}

}  // namespace vitalproof::read
