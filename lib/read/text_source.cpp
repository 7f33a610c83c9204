#include "read/text_source.hpp"

#include "read/file_kind.hpp"

namespace vitalproof::read {

namespace {

// Enough to meet a letter beyond ASCII if there are any; judging it takes microseconds.
constexpr std::size_t bytes_to_judge = std::size_t{1} << 18;

}  // namespace

std::optional<file_error> text_source::open() {
    peeking_source* text = &packed_;
    std::string_view first = text->peek(bytes_to_judge);
    if (first.starts_with(gzip_magic)) {
        unpacked_.emplace(packed_, most_unpacked_);
        text = &text_.emplace(*unpacked_);
        first = text->peek(bytes_to_judge);
    }
    last_ = text;
    if (first.empty() && !text->trouble().empty()) {
        return std::nullopt;  // not empty but broken, which whoever reads on is told
    }
    if (auto error = refuse_as_text(first)) {
        return error;
    }
    encoding_ = guess_encoding(first, text->ended());
    if (encoding_ != encoding::utf_8) {
        last_ = &transcoded_.emplace(*text, encoding_);
    }
    return std::nullopt;
}

}  // namespace vitalproof::read
