#include "write/json.hpp"

#include "write/special_bytes.hpp"
#include <vitalproof/detail/append.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>

namespace vitalproof::write {

namespace {

constexpr auto is_escaped = [](auto c) { return (c < ' ') | (c > '~') | (c == '"') | (c == '\\'); };
constexpr auto is_plain = [](unsigned char c) { return !is_escaped(c); };

/// Escapes a run of bytes none of which is plain. Characters in UTF-8 begin and end within a run.
void append_escaped(std::string& out, std::string_view run) {
    // The two that our own texts hold; the rest is for identifiers.
    if (run == "\"") {
        out.append("\\\"");
    } else if (run == "°") {
        out.append("\\u00b0");
    } else {
        // ASCII output escapes what could change direction or hide; invalid UTF-8 is replaced.
        constexpr auto replace = nlohmann::json::error_handler_t::replace;
        const std::string quoted = nlohmann::json(run).dump(-1, ' ', true, replace);
        out.append(quoted, 1, quoted.size() - 2);
    }
}

/// The digits of a number that is not negative; returns their end.
char* put_digits_from(char* to, std::uint64_t value) {
    std::array<char, 20> digits{};
    char* const end = digits.data() + digits.size();
    return std::copy(vitalproof::detail::put_digits(end, value), end, to);
}

/// The text between quotes, in one piece where it is short, as nearly all are.
void append_plain_string(std::string& out, std::string_view text) {
    std::array<char, 128> piece;
    if (text.size() > piece.size() - 2) {
        out.append(1, '"').append(text).push_back('"');
        return;
    }
    piece.front() = '"';
    std::memcpy(piece.data() + 1, text.data(), text.size());
    piece[text.size() + 1] = '"';
    out.append(piece.data(), text.size() + 2);
}

}  // namespace

void append_json_string(std::string& out, std::string_view text) {
    std::size_t plain = first_special(text, is_escaped);
    if (plain == text.size()) [[likely]] {
        append_plain_string(out, text);
        return;
    }
    out.push_back('"');
    for (;;) {
        out.append(text.substr(0, plain));
        text.remove_prefix(plain);
        if (text.empty()) {
            break;
        }
        const auto run_end = std::ranges::find_if(text, is_plain);
        const auto run = static_cast<std::size_t>(run_end - text.begin());
        append_escaped(out, text.substr(0, run));
        text.remove_prefix(run);
        plain = first_special(text, is_escaped);
    }
    out.push_back('"');
}

char* put_json_number(char* to, double value) {
    // Whole numbers and tenths are nearly all that is charted, and cheap. The sign keeps -0 out.
    const double tenths = std::trunc(value * 10 + 0.5);
    if (!std::signbit(value) && value < 1e15 && value == std::trunc(value)) {
        return put_digits_from(to, static_cast<std::uint64_t>(value));
    }
    if (value > 0 && value < 1e6 && tenths / 10 == value) {
        const auto whole = static_cast<std::uint64_t>(tenths);
        to = put_digits_from(to, whole / 10);
        *to++ = '.';
        *to++ = static_cast<char>('0' + whole % 10);
        return to;
    }
    return std::isfinite(value) ? fmt::format_to(to, "{}", value)
                                : std::ranges::copy(std::string_view("null"), to).out;
}

void append_json_number(std::string& out, double value) {
    std::array<char, longest_json_number> digits;
    const char* const end = put_json_number(digits.data(), value);
    out.append(digits.data(), static_cast<std::size_t>(end - digits.data()));
}

}  // namespace vitalproof::write
