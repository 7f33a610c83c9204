#include "written.hpp"

#include <array>
#include <cmath>
#include <cstdlib>
#include <stdexcept>

namespace bench {

namespace {

using vitalproof::index_of;
using vitalproof::sign_id;

bool is_letter(const invented_set& set, sign_id sign) {
    return sign == sign_id::responsiveness ||
           (sign == sign_id::saturation && set.letter_in_saturation);
}

void append_number(std::string& text, double value) {
    const long tenths = std::lround(value * 10);
    text += std::to_string(tenths / 10);
    if (tenths % 10 != 0) {
        text += '.';
        text += static_cast<char>('0' + std::abs(tenths % 10));
    }
}

}  // namespace

void text_output::flush() {
    if (std::fwrite(text_.data(), 1, text_.size(), into_) != text_.size() ||
        std::fflush(into_) != 0) {
        throw std::runtime_error("the file could not be written");
    }
    flushed_ += text_.size();
    text_.clear();
}

void append_time(std::string& text, unsigned minute) {
    std::array<char, 32> time{};
    const unsigned day = minute / 1440 % 28;
    const unsigned month = minute / 1440 / 28 % 12;
    std::snprintf(time.data(), time.size(), "2025-%02u-%02uT%02u:%02u:00", month + 1, day + 1,
                  minute / 60 % 24, minute % 60);
    text += time.data();
}

void append_charted(std::string& text, const invented_set& set, sign_id sign) {
    constexpr std::string_view levels = "AVPU";
    const double value = set.values[index_of(sign)];
    if (!is_charted(set, sign)) {
        return;
    }
    if (sign == sign_id::responsiveness) {
        text += levels[static_cast<std::size_t>(value) - 1];
    } else if (is_letter(set, sign)) {
        text += "9O";
    } else if (sign == sign_id::saturation && value < 1) {
        text += "0." + std::to_string(std::lround(value * 100));
    } else {
        append_number(text, value);
    }
}

void add_to(written_account& account, const invented_set& set) {
    account.reports += set.first_of_report ? 1U : 0U;
    ++account.sets;
    for (const auto& sign : vitalproof::sign_table) {
        const std::size_t at = index_of(sign.id);
        if (is_charted(set, sign.id) && !is_letter(set, sign.id)) {
            ++account.numbers[at];
            account.tenths[at] += std::lround(set.values[at] * 10);
        }
    }
}

}  // namespace bench
