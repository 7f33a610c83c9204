// The text of a cell as it was charted, kept only when it cannot carry a name.
// Used by readings and unread rows, so that a finding can show "12O" or "HI".
// Promises that columns shifted by one never leak a patient's name or date of birth into an output:
// a text longer than 16 bytes, or holding a date or a word that is not of the trade, is remembered
// by its length alone.
#pragma once

#include <vitalproof/config.hpp>

#include <algorithm>
#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {

namespace detail {

constexpr char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

constexpr bool is_letter(char c) { return lower(c) >= 'a' && lower(c) <= 'z'; }

constexpr bool equal_ignoring_case(std::string_view a, std::string_view b) {
    return std::ranges::equal(a, b, [](char x, char y) { return lower(x) == lower(y); });
}

/// Words a vital-sign cell may hold that say nothing about who the patient is.
inline constexpr std::array<std::string_view, 47> words_of_the_trade{
    "hi",           "high",    "lo",       "low",        "na",      "n",        "a",
    "nan",          "null",    "none",     "nil",        "refused", "unable",   "palp",
    "palpated",     "doppler", "alert",    "verbal",     "voice",   "pain",     "painful",
    "unresponsive", "mmhg",    "kpa",      "mg",         "dl",      "mmol",     "bpm",
    "min",          "rpm",     "deg",      "cel",        "ref",     "value",    "div",
    "error",        "not",     "recorded", "applicable", "taken",   "obtained", "unknown",
    "missing",      "pct",     "uto",      "obtain",     "to"};

/// Single letters that stand for a unit, a level, or a digit mistyped; never an initial in a name
/// because they are accepted only alone, and a name has more letters.
inline constexpr std::string_view letters_of_the_trade = "oilpfckgevuxh";

constexpr bool is_word_of_the_trade(std::string_view word) {
    if (word.size() == 1) {
        return letters_of_the_trade.find(lower(word.front())) != std::string_view::npos ||
               lower(word.front()) == 'n' || lower(word.front()) == 'a';
    }
    return std::ranges::any_of(words_of_the_trade, [word](std::string_view known) {
        return equal_ignoring_case(known, word);
    });
}

constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// How many digits a text begins with.
constexpr std::size_t digits_at_front(std::string_view text) {
    const auto end = std::ranges::find_if_not(text, is_digit);
    return static_cast<std::size_t>(end - text.begin());
}

/// Whether a text begins with a day: 1950-05-05, 5/5/1950, 05.05.50. A pressure with its mean,
/// 120/80/93, is none; neither are parts of which the first two are beyond any day and month.
constexpr bool begins_with_a_date(std::string_view text) {
    const std::size_t first = digits_at_front(text);
    const char mark = first < text.size() ? text[first] : ' ';
    if (first == 0 || (mark != '-' && mark != '/' && mark != '.')) {
        return false;
    }
    const std::string_view behind_first = text.substr(first + 1);
    const std::size_t second = digits_at_front(behind_first);
    if (second == 0 || second > 2 || second == behind_first.size() ||
        behind_first[second] != mark) {
        return false;
    }
    const std::size_t third = digits_at_front(behind_first.substr(second + 1));
    const auto may_be_day = [](std::string_view part) {
        return part.size() == 1 || part.front() < '3' || (part.front() == '3' && part.back() < '2');
    };
    const bool year_first = first == 4 && (third == 1 || third == 2);
    const bool year_last = first <= 2 && (third == 2 || third == 4) &&
                           may_be_day(text.substr(0, first)) &&
                           may_be_day(behind_first.substr(0, second));
    return year_first || year_last;
}

/// Whether a date stands anywhere in a text, as one of birth would in a row that is echoed.
constexpr bool holds_a_date(std::string_view text) {
    for (std::size_t i = 0; i < text.size(); ++i) {
        if ((i == 0 || !is_digit(text[i - 1])) && begins_with_a_date(text.substr(i))) {
            return true;
        }
    }
    return false;
}

/// What spreadsheets show in place of a value that a formula could not work out.
inline constexpr std::array<std::string_view, 7> spreadsheet_errors{
    "#REF!", "#DIV/0!", "#N/A", "#VALUE!", "#NAME?", "#NUM!", "#NULL!"};

}  // namespace detail

/// Whether a cell holds the error of a spreadsheet, such as `#REF!`.
constexpr bool is_spreadsheet_error(std::string_view text) {
    return std::ranges::any_of(detail::spreadsheet_errors, [text](std::string_view known) {
        return detail::equal_ignoring_case(known, text);
    });
}

/// Longest text that is ever echoed.
inline constexpr std::size_t longest_echo = 16;

/// Whether a cell's text may appear in an output: at most 16 bytes of digits, punctuation, the
/// degree sign and words of the trade, and no date; or the error of a spreadsheet.
constexpr bool may_be_echoed(std::string_view text) {
    if (is_spreadsheet_error(text)) {
        return true;
    }
    if (text.size() > longest_echo || detail::holds_a_date(text)) {
        return false;
    }
    for (std::size_t i = 0; i < text.size();) {
        const char c = text[i];
        if (detail::is_letter(c)) {
            std::size_t end = i;
            while (end < text.size() && detail::is_letter(text[end])) {
                ++end;
            }
            if (!detail::is_word_of_the_trade(text.substr(i, end - i))) {
                return false;
            }
            i = end;
        } else if (text.substr(i, 2) == "\xC2\xB0") {  // the degree sign in UTF-8
            i += 2;
        } else if (c >= ' ' && c <= '~') {
            ++i;
        } else {
            return false;
        }
    }
    return true;
}

/// A cell's text or, where it may not be echoed, its length. Trivially copyable, never allocates.
class charted_text {
public:
    constexpr charted_text() = default;

    constexpr explicit charted_text(std::string_view text) {
        if (may_be_echoed(text)) {
            std::ranges::copy(text, bytes_.begin());
            size_ = static_cast<std::uint8_t>(text.size());
            return;
        }
        size_ = withheld;
        const auto length =
            static_cast<std::uint32_t>(std::min<std::size_t>(text.size(), 0xFFFFFFFFU));
        std::ranges::copy(std::bit_cast<length_bytes>(length), bytes_.begin());
    }

    constexpr bool empty() const { return size_ == 0; }
    constexpr bool shown() const { return size_ != withheld; }

    /// The text where it may be echoed, else empty.
    constexpr std::string_view text() const {
        return shown() ? std::string_view(bytes_.data(), size_) : std::string_view{};
    }

    /// What an output shows: the text, or "text of n characters".
    std::string display() const {
        return shown() ? std::string(text())
                       : "text of " + std::to_string(length()) + " characters";
    }

private:
    // Of a text that may not be echoed, in place of its bytes: a reading is 32 bytes, not 40, and
    // there are millions.
    using length_bytes = std::array<char, sizeof(std::uint32_t)>;
    static constexpr std::uint8_t withheld = 0xFF;

    constexpr std::uint32_t length() const {
        length_bytes bytes{};
        std::copy_n(bytes_.begin(), bytes.size(), bytes.begin());
        return std::bit_cast<std::uint32_t>(bytes);
    }

    std::array<char, longest_echo> bytes_{};
    std::uint8_t size_ = 0;
};

}  // namespace vitalproof::inline VITALPROOF_ABI
