// JSON text piece by piece, for lines written by the million.
// Used by the writer of findings. Promises valid JSON in UTF-8: bytes that are not become U+FFFD,
// and control and direction-changing characters are escaped.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <string>
#include <string_view>

namespace vitalproof::write {

/// Appends a quoted JSON string.
void append_json_string(std::string& out, std::string_view text);

/// Characters that put_json_number may write.
inline constexpr std::size_t longest_json_number = 32;

/// Writes a number as short as it can be read back; infinities and NaN as null. Returns its end.
char* put_json_number(char* to, double value);

/// Appends the same.
void append_json_number(std::string& out, double value);

/// An object written key by key. Keys are ours and need no escaping.
class json_object {
public:
    explicit json_object(std::string& out) : out_(out) { out_.push_back('{'); }

    /// An object whose beginning, with a member at least, stands in `out` already.
    static json_object continued(std::string& out) { return {out, false}; }

    template <std::size_t N>
    json_object& text(const char (&key)[N], std::string_view value) {
        name(key);
        append_json_string(out_, value);
        return *this;
    }
    /// A value that is JSON already: a number, true, null, an array.
    template <std::size_t N>
    json_object& raw(const char (&key)[N], std::string_view value) {
        name(key);
        out_.append(value);
        return *this;
    }
    /// A key whose value the caller appends to the text returned.
    template <std::size_t N>
    std::string& key(const char (&name_of_member)[N]) {
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
    json_object(std::string& out, bool first) : out_(out), first_(first) {}

    /// `,"key":` put together by the compiler, so that it costs one append.
    template <std::size_t N>
    void name(const char (&key)[N]) {
        std::array<char, N + 3> piece{',', '"'};
        std::copy_n(key, N - 1, piece.begin() + 2);
        piece[N + 1] = '"';
        piece[N + 2] = ':';
        const std::size_t skipped = first_ ? 1 : 0;
        out_.append(piece.data() + skipped, piece.size() - skipped);
        first_ = false;
    }

    std::string& out_;
    bool first_ = true;
};

}  // namespace vitalproof::write
