// JSON text piece by piece, for lines written by the million.
// Used by the writer of findings. Promises valid JSON in UTF-8: bytes that are not become U+FFFD,
// and control and direction-changing characters are escaped.
#pragma once

#include <string>
#include <string_view>

namespace vitalproof::write {

/// Appends a quoted JSON string.
void append_json_string(std::string& out, std::string_view text);

/// An object written key by key.
class json_object {
public:
    explicit json_object(std::string& out) : out_(out) { out_.push_back('{'); }
    json_object& text(std::string_view key, std::string_view value) {
        name(key);
        append_json_string(out_, value);
        return *this;
    }
    /// A value that is JSON already: a number, true, null, an array.
    json_object& raw(std::string_view key, std::string_view value) {
        name(key);
        out_.append(value);
        return *this;
    }
    /// A key whose value the caller appends to the text returned.
    std::string& key(std::string_view name_of_member) {
        name(name_of_member);
        return out_;
    }
    /// Members written beforehand by another object, without its braces.
    json_object& members(std::string_view written) {
        out_.append(first_ ? "" : ",").append(written);
        first_ = false;
        return *this;
    }
    void close() { out_.push_back('}'); }

private:
    void name(std::string_view key) {
        out_.append(first_ ? "\"" : ",\"").append(key).append("\":");  // ours: nothing to escape
        first_ = false;
    }

    std::string& out_;
    bool first_ = true;
};

}  // namespace vitalproof::write
