// The readings and worked-out numbers behind a finding as a JSON array.
// Used by the writer of findings. Promises every reading the finding rests on, in the order of the
// signs, with its unit where it is a number and with its text where the chart had one.
#pragma once

#include "write/text_block.hpp"
#include <vitalproof/finding.hpp>

#include <array>
#include <cstddef>
#include <string_view>

namespace vitalproof::write {

/// A short text copied whole, with what stands behind it, so that the copy is no call.
template <std::size_t Room>
class short_text {
public:
    void assign(std::string_view text);
    char* put(char* to) const {
        std::copy_n(bytes_.data(), Room, to);
        return to + size_;
    }

private:
    std::array<char, Room> bytes_{};
    std::size_t size_ = 0;
};

class evidence_writer {
public:
    evidence_writer();

    void append(text_block& out, const evidence& e) const;

private:
    void append_reading(text_block& out, const evidence_reading& r) const;

    /// Around the value of a reading that is a number, as nearly all are: the same for each sign.
    struct around_value {
        short_text<64> before;
        short_text<32> after;
    };
    std::array<around_value, sign_count> numbers_{};
};

}  // namespace vitalproof::write
