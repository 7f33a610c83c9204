#include "write/csv.hpp"

#include "read/text.hpp"
#include "write/harmless.hpp"
#include "write/special_bytes.hpp"

#include <algorithm>

namespace vitalproof::write {

namespace {

// Controls, and all beyond ASCII, which may be no character.
constexpr auto is_doubtful = [](auto c) { return (c < 0x20) | (c > 0x7E); };
constexpr auto is_rewritten = [](auto c) { return (c == '"') | is_doubtful(c); };
constexpr auto is_comma = [](auto c) { return c == ','; };
constexpr auto is_quoted = [](auto c) { return is_comma(c) | is_rewritten(c); };

/// A plain number may begin with a sign: no spreadsheet runs it.
bool is_number(std::string_view text) {
    return std::ranges::all_of(text.substr(1),
                               [](char c) { return (c >= '0' && c <= '9') || c == '.'; }) &&
           text.size() > 1;
}

bool could_run(std::string_view text) {
    if (text.empty()) {
        return false;
    }
    switch (text.front()) {
        case '=':
        case '@':
        case '\t':
        case '\r':
            return true;
        case '+':
        case '-':
            return !is_number(text);
        default:
            return false;
    }
}

bool has_space_at_an_end(std::string_view text) {
    return !text.empty() && (text.front() == ' ' || text.back() == ' ');
}

constexpr std::string_view replacement = "\xEF\xBF\xBD";  // U+FFFD

/// Quotes twice, control characters as spaces, what is no character or turns the direction of the
/// cells behind it as U+FFFD.
void append_rewritten(text_block& out, std::string_view text) {
    for (;;) {
        const std::size_t plain = first_special(text, is_rewritten);
        out.append(text.substr(0, plain));
        text.remove_prefix(plain);
        if (text.empty()) {
            return;
        }
        const read::utf_8_step step = read::next_character(text);
        const bool beyond_ascii = static_cast<unsigned char>(text[0]) >= 0x80;
        const bool acts = beyond_ascii && acts_on_text(text.substr(0, step.bytes));
        out.append(!step.sound || acts   ? replacement
                   : beyond_ascii        ? text.substr(0, step.bytes)
                   : text.front() == '"' ? "\"\""
                                         : " ");
        text.remove_prefix(step.bytes);
    }
}

/// A cell with a byte beyond ASCII and nothing else that is special needs no quotes.
bool only_beyond_ascii(std::string_view text) {
    return std::ranges::all_of(text, [](unsigned char c) { return c >= 0x80 || !is_quoted(c); });
}

[[gnu::noinline]] void append_special_cell(text_block& out, std::string_view text) {
    const bool guard = could_run(text);
    if (!guard && !has_space_at_an_end(text) && only_beyond_ascii(text)) {
        append_rewritten(out, text);
        return;
    }
    out.append(guard ? "\"'" : "\"");
    append_rewritten(out, text);
    out.push_back('"');
}

}  // namespace

void append_cell(text_block& out, const checked_text& checked) {
    const std::string_view text = checked.text;
    if (text.empty()) {
        return;
    }
    if (could_run(text) || (!checked.plain && has_special(text, is_rewritten))) [[unlikely]] {
        append_special_cell(out, text);
        return;
    }
    using vitalproof::detail::put;
    char* to = out.room(text.size() + 2);
    if (has_space_at_an_end(text) || has_special(text, is_comma)) {
        *to++ = '"';
        to = put(to, text);
        *to++ = '"';
    } else {
        to = put(to, text);
    }
    out.end_at(to);
}

}  // namespace vitalproof::write
