#include "write/json.hpp"

#include "write/special_bytes.hpp"
#include <vitalproof/detail/append.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <iterator>

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

/// A number of tenths that are not whole, as its shortest decimal.
void append_tenths(std::string& out, unsigned tenths) {
    std::array<char, 12> digits{};
    char* const end = digits.data() + digits.size();
    end[-1] = static_cast<char>('0' + tenths % 10);
    end[-2] = '.';
    const char* begin = vitalproof::detail::put_digits(end - 2, tenths / 10);
    out.append(begin, static_cast<std::size_t>(end - begin));
}

}  // namespace

void append_json_string(std::string& out, std::string_view text) {
    out.push_back('"');
    for (;;) {
        const std::size_t plain = first_special(text, is_escaped);
        out.append(text.substr(0, plain));
        text.remove_prefix(plain);
        if (text.empty()) {
            break;
        }
        const auto run_end = std::ranges::find_if(text, is_plain);
        const auto run = static_cast<std::size_t>(run_end - text.begin());
        append_escaped(out, text.substr(0, run));
        text.remove_prefix(run);
    }
    out.push_back('"');
}

void append_json_number(std::string& out, double value) {
    // Whole numbers and tenths are nearly all that is charted, and cheap. The sign keeps -0 out.
    const double tenths = std::trunc(value * 10 + 0.5);
    if (!std::signbit(value) && value < 1e15 && value == std::trunc(value)) {
        vitalproof::detail::append_integer(out, static_cast<unsigned long long>(value));
    } else if (value > 0 && value < 1e6 && tenths / 10 == value) {
        append_tenths(out, static_cast<unsigned>(tenths));
    } else if (std::isfinite(value)) {
        fmt::format_to(std::back_inserter(out), "{}", value);
    } else {
        out.append("null");
    }
}

}  // namespace vitalproof::write
