// A byte source that unpacks gzip as it is read.
// Used for files that begin as a gzip archive does. Promises bounded memory whatever the archive
// unpacks to, that archives joined end to end are one text, and that all that could be unpacked
// before a damage, or before its bound, is given before the failure is.
#pragma once

#include "read/byte_source.hpp"

#include <cstdint>
#include <memory>

namespace vitalproof::read {

/// How every gzip archive begins (RFC 1952).
inline constexpr std::string_view gzip_magic = "\x1F\x8B";

/// How much an archive may unpack to unless its user says otherwise: far beyond a state's year, and
/// still an end to an archive made to have none.
inline constexpr std::uint64_t usual_most_unpacked = std::uint64_t{64} << 30;

class gzip_source final : public byte_source {
public:
    /// The other source must outlive this one. Unpacking fails beyond `most` bytes.
    explicit gzip_source(byte_source& from, std::uint64_t most = usual_most_unpacked);
    ~gzip_source() override;
    gzip_source(const gzip_source&) = delete;
    gzip_source& operator=(const gzip_source&) = delete;

    std::ptrdiff_t read(char* into, std::size_t size) override;
    std::string trouble() const override { return trouble_; }

private:
    struct unpacker;

    bool feed();
    bool begin_member();

    byte_source& from_;
    std::uint64_t most_;
    std::uint64_t given_ = 0;
    std::unique_ptr<unpacker> unpacker_;
    std::string trouble_;
};

}  // namespace vitalproof::read
