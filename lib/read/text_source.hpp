// Bytes as they lie on disk into text: unpacked, and in UTF-8.
// Used by read_delimited. Promises that what a file is is decided once, by its first bytes, and
// that a plain file's bytes pass through untouched.
#pragma once

#include "read/byte_source.hpp"
#include "read/columns.hpp"
#include "read/encoding.hpp"
#include "read/gzip_source.hpp"
#include "read/peeking_source.hpp"

#include <optional>

namespace vitalproof::read {

class text_source final : public byte_source {
public:
    /// The other source must outlive this one. An archive may unpack to `most_unpacked` bytes.
    explicit text_source(byte_source& from, std::uint64_t most_unpacked = usual_most_unpacked)
        : packed_(from), most_unpacked_(most_unpacked) {}

    /// Looks at the first bytes; the reason where they cannot begin a text. Once, before all else.
    std::optional<file_error> open();

    /// What its characters were read as; known once it is open.
    encoding as() const { return encoding_; }

    std::ptrdiff_t read(char* into, std::size_t size) override { return last_->read(into, size); }
    std::string trouble() const override { return last_->trouble(); }

private:
    peeking_source packed_;
    std::uint64_t most_unpacked_;
    std::optional<gzip_source> unpacked_{};
    std::optional<peeking_source> text_{};  // what was unpacked
    std::optional<transcoding_source> transcoded_{};
    byte_source* last_ = &packed_;
    encoding encoding_ = encoding::utf_8;
};

}  // namespace vitalproof::read
