#include "write/json.hpp"

#include "write/special_bytes.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>

namespace vitalproof::write {

namespace {

constexpr auto is_plain = [](unsigned char c) { return !is_not_plain(c); };

/// Escapes a run of bytes none of which is plain. Characters in UTF-8 begin and end within a run.
void append_escaped(text_block& out, std::string_view run) {
    // The two that our own texts hold; the rest is for identifiers.
    if (run == "\"") {
        out.append("\\\"");
    } else if (run == "°") {
        out.append("\\u00b0");
    } else {
        // ASCII output escapes what could change direction or hide; invalid UTF-8 is replaced.
        constexpr auto replace = nlohmann::json::error_handler_t::replace;
        const std::string quoted = nlohmann::json(run).dump(-1, ' ', true, replace);
        out.append(std::string_view(quoted).substr(1, quoted.size() - 2));
    }
}

void append_with_escapes(text_block& out, std::string_view text) {
    for (;;) {
        const std::size_t plain = first_special(text, is_not_plain);
        out.append(text.substr(0, plain));
        text.remove_prefix(plain);
        if (text.empty()) {
            return;
        }
        const auto run_end = std::ranges::find_if(text, is_plain);
        const auto run = static_cast<std::size_t>(run_end - text.begin());
        append_escaped(out, text.substr(0, run));
        text.remove_prefix(run);
    }
}

/// A number given in thousandths, not a whole one, without trailing zeros.
char* put_thousandths(char* to, std::uint64_t thousandths) {
    to = vitalproof::detail::put_digits(to, thousandths / 1000);
    *to++ = '.';
    for (std::uint64_t rest = thousandths % 1000; rest != 0; rest = rest * 10 % 1000) {
        *to++ = static_cast<char>('0' + rest / 100);
    }
    return to;
}

}  // namespace

void append_json_string(text_block& out, const checked_text& checked) {
    const std::string_view text = checked.text;
    if (!checked.plain) [[unlikely]] {
        out.push_back('"');
        append_with_escapes(out, text);
        out.push_back('"');
        return;
    }
    char* to = out.room(text.size() + 2);
    *to++ = '"';
    to = vitalproof::detail::put(to, text);
    *to++ = '"';
    out.end_at(to);
}

namespace detail {

char* put_any_json_number(char* to, double value) {
    if (!std::signbit(value) && value < 1e15 && value == std::trunc(value)) {
        return vitalproof::detail::put_digits(to, static_cast<std::uint64_t>(value));
    }
    // Of two numbers with so few digits no two are the same double, so these are the shortest.
    const double thousandths = std::trunc(value * 1000 + 0.5);
    if (value >= 0.001 && value < 1e6 && thousandths / 1000 == value) {
        return put_thousandths(to, static_cast<std::uint64_t>(thousandths));
    }
    return std::isfinite(value) ? fmt::format_to(to, "{}", value)
                                : vitalproof::detail::put(to, "null");
}

}  // namespace detail

}  // namespace vitalproof::write
