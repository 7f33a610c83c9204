// Bytes that pass through while libxml2 checks that they are well-formed XML from first to last.
// Used by the standard's reader where its user asks for it: the reader itself looks only at
// reports. Promises memory that does not grow with the input, and that no network, file or entity
// is ever followed.
#pragma once

#include "read/byte_source.hpp"

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace vitalproof::read {

/// The first place at which a text is no well-formed XML. Nothing of the text is in it.
struct form_fault {
    std::uint64_t line = 0;
    std::string_view what;  ///< "an end tag does not match its start tag"
};

class form_checking_source final : public byte_source {
public:
    /// `from` gives UTF-8, whatever the text says of itself, and must outlive this one.
    explicit form_checking_source(byte_source& from);
    ~form_checking_source() override;

    std::ptrdiff_t read(char* into, std::size_t size) override;
    std::string trouble() const override { return from_.trouble(); }

    /// Known once all was read.
    const std::optional<form_fault>& fault() const { return fault_; }

private:
    struct parser;

    void check(const char* bytes, std::size_t size, bool at_end);

    byte_source& from_;
    std::unique_ptr<parser> parser_;
    std::optional<form_fault> fault_{};
};

}  // namespace vitalproof::read
