// A start tag of XML taken apart, where it is so plain that every reader makes the same of it.
// Used by the tags that are known by their text, and by who gives them a meaning.
// Promises to take no tag that a parser would refuse or read otherwise.
#pragma once

#include <cstddef>
#include <string_view>

namespace vitalproof::read {

namespace detail {

constexpr bool is_blank(char c) { return c == ' ' || c == '\n' || c == '\t' || c == '\r'; }
constexpr bool begins_plain_name(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_';
}
constexpr bool is_in_plain_name(char c) {
    return begins_plain_name(c) || (c >= '0' && c <= '9') || c == '.' || c == '-' || c == ':';
}

/// Takes a name of letters, digits and at most one colon off the front; empty where there is none.
constexpr std::string_view take_plain_name(std::string_view& from) {
    std::size_t length = 0;
    int colons = 0;
    while (length < from.size() && is_in_plain_name(from[length])) {
        colons += from[length] == ':' ? 1 : 0;
        ++length;
    }
    if (length == 0 || !begins_plain_name(from[0]) || colons > 1) {
        return {};
    }
    const std::string_view name = from.substr(0, length);
    from.remove_prefix(length);
    return name;
}

/// The same of a value in quotes; null where there is none, or one that may not be as it stands.
constexpr std::string_view take_plain_value(std::string_view& from) {
    if (from.empty() || (from[0] != '"' && from[0] != '\'')) {
        return {};
    }
    for (std::size_t i = 1; i < from.size(); ++i) {
        if (from[i] == from[0]) {
            const std::string_view value = from.substr(1, i - 1);
            from.remove_prefix(i + 1);
            return value;
        }
        if (from[i] < ' ' || from[i] > '~' || from[i] == '&' || from[i] == '<') {
            return {};
        }
    }
    return {};
}

}  // namespace detail

struct plain_tag {
    std::string_view name{};  ///< with its prefix; empty where the tag is not plain
    bool self_closing = false;
};

/// Takes a start tag apart, from '<' to '>', and calls `f(name, value)` for its attributes.
template <class F>
constexpr plain_tag take_apart(std::string_view tag, F&& f) {
    std::string_view rest = tag.substr(1);
    const std::string_view name = detail::take_plain_name(rest);
    while (!name.empty()) {
        const std::size_t before = rest.size();
        while (!rest.empty() && detail::is_blank(rest[0])) {
            rest.remove_prefix(1);
        }
        if (rest == ">" || rest == "/>") {
            return {name, rest.size() == 2};
        }
        const bool is_parted = rest.size() != before;
        const std::string_view attribute = detail::take_plain_name(rest);
        if (!is_parted || attribute.empty() || !rest.starts_with('=')) {
            break;
        }
        rest.remove_prefix(1);
        const std::string_view value = detail::take_plain_value(rest);
        if (value.data() == nullptr) {
            break;
        }
        f(attribute, value);
    }
    return {};
}

}  // namespace vitalproof::read
