// JSON text piece by piece, for lines written by the million.
// Used by the writers of findings and of the page. Promises valid JSON in UTF-8: bytes that are not
// become U+FFFD, and control and direction-changing characters are escaped.
#pragma once

#include "write/checked_text.hpp"
#include "write/text_block.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace vitalproof::write {

/// Appends a quoted JSON string.
void append_json_string(text_block& out, const checked_text& checked);
inline void append_json_string(text_block& out, std::string_view text) {
    append_json_string(out, checked(text));
}

/// Characters that put_json_number may write.
inline constexpr std::size_t longest_json_number = 32;

namespace detail {

/// The same where it is not small and whole.
char* put_any_json_number(char* to, double value);

}  // namespace detail

/// Writes a number as short as it can be read back; infinities and NaN as null. Returns its end.
inline char* put_json_number(char* to, double value) {
    // Nearly all that is charted. The sign keeps -0 out.
    if (value < 1e6 && value >= 0 && !std::signbit(value)) {
        const auto whole = static_cast<std::uint32_t>(value);
        if (whole == value) {
            return vitalproof::detail::put_digits(to, whole);
        }
    }
    return detail::put_any_json_number(to, value);
}

/// Appends the same.
inline void append_json_number(text_block& out, double value) {
    out.end_at(put_json_number(out.room(longest_json_number), value));
}

template <class Integer>
void append_integer(text_block& out, Integer value) {
    using namespace vitalproof::detail;
    out.end_at(put_integer(out.room(longest_integer), value));
}

/// An object written key by key. Keys are ours and need no escaping.
class json_object {
public:
    explicit json_object(text_block& out) : out_(out) { out_.push_back('{'); }

    /// An object whose beginning, with a member at least, stands in `out` already.
    static json_object continued(text_block& out) { return {out, false}; }

    /// The members alone of an object whose braces the caller writes.
    static json_object members_only(text_block& out) { return {out, true}; }

    template <std::size_t N>
    json_object& text(const char (&key)[N], std::string_view value) {
        return text(key, checked(value));
    }
    template <std::size_t N>
    json_object& text(const char (&key)[N], const checked_text& value) {
        name(key);
        append_json_string(out_, value);
        return *this;
    }
    template <std::size_t N, class Integer>
    json_object& integer(const char (&key)[N], Integer value) {
        name(key);
        append_integer(out_, value);
        return *this;
    }
    template <std::size_t N>
    json_object& number(const char (&key)[N], double value) {
        name(key);
        append_json_number(out_, value);
        return *this;
    }
    /// A value that is JSON already: true, null, an array.
    template <std::size_t N>
    json_object& raw(const char (&key)[N], std::string_view value) {
        name(key);
        out_.append(value);
        return *this;
    }
    /// A key whose value the caller appends to the text returned.
    template <std::size_t N>
    text_block& key(const char (&name_of_member)[N]) {
        name(name_of_member);
        return out_;
    }
    /// Members written beforehand by another object, without its braces.
    json_object& members(std::string_view written) {
        if (!first_) {
            out_.push_back(',');
        }
        out_.append(written);
        first_ = false;
        return *this;
    }
    void close() { out_.push_back('}'); }

private:
    json_object(text_block& out, bool first) : out_(out), first_(first) {}

    /// `,"key":` put together by the compiler, so that it costs one copy.
    template <std::size_t N>
    void name(const char (&key)[N]) {
        std::array<char, N + 3> piece{',', '"'};
        std::copy_n(key, N - 1, piece.begin() + 2);
        piece[N + 1] = '"';
        piece[N + 2] = ':';
        const std::size_t skipped = first_ ? 1 : 0;
        out_.append({piece.data() + skipped, piece.size() - skipped});
        first_ = false;
    }

    text_block& out_;
    bool first_ = true;
};

}  // namespace vitalproof::write
