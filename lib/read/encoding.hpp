// Which characters a text's bytes stand for, and a byte source that makes them UTF-8.
// Used before delimited text is read. Promises that the source gives nothing but well-formed UTF-8:
// what stands for no character becomes U+FFFD.
#pragma once

#include "read/byte_source.hpp"

#include <cstdint>
#include <string>
#include <string_view>

namespace vitalproof::read {

enum class encoding : std::uint8_t {
    utf_8,
    utf_16_le,
    utf_16_be,
    windows_1252,  ///< Latin-1 and what Windows put into its gap, as WHATWG reads both
};

/// Judges by a text's first bytes; `whole` says that there are no more.
///
/// UTF-16 has its mark or, being mostly ASCII, a zero in every other of its first four bytes. What
/// has more malformed places than well-formed characters beyond ASCII is Windows-1252, which any
/// byte may belong to. All else is UTF-8, in which a few bad bytes do no harm.
encoding guess_encoding(std::string_view first_bytes, bool whole);

/// `UTF-16`, `Windows-1252`.
std::string_view name_of(encoding e);

/// Makes UTF-8 of an encoding other than UTF-8.
class transcoding_source final : public byte_source {
public:
    /// The other source must outlive this one.
    transcoding_source(byte_source& from, encoding of) : from_(from), of_(of) {}

    std::ptrdiff_t read(char* into, std::size_t size) override;
    std::string trouble() const override { return from_.trouble(); }

private:
    std::ptrdiff_t refill();
    std::size_t take_utf_16(std::string_view bytes, bool last);

    byte_source& from_;
    encoding of_;
    std::string raw_{};      // begins with a character cut by the end of the piece before
    std::string ready_{};    // UTF-8
    std::size_t given_ = 0;  // of ready_
};

}  // namespace vitalproof::read
