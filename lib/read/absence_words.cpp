#include "read/absence_words.hpp"

#include "read/nemsis_codes.hpp"
#include "read/text.hpp"

#include <algorithm>
#include <array>

namespace vitalproof::read {

namespace {

struct absence_word {
    std::string_view word;
    absence why;
};

// A machine's "nothing here" gives no reason, so it is as good as an empty cell.
constexpr std::array absence_words = std::to_array<absence_word>({
    {"nan", absence::blank},
    {"null", absence::blank},
    {"n/a", absence::not_applicable},
    {"na", absence::not_applicable},
    {"not applicable", absence::not_applicable},
    {"refused", absence::refused},
    {"patient refused", absence::refused},
    {"pt refused", absence::refused},
    {"unable", absence::unable},
    {"unable to complete", absence::unable},
    {"unable to obtain", absence::unable},
    {"unable to assess", absence::unable},
    {"unobtainable", absence::unable},
    {"uto", absence::unable},
    {"not obtained", absence::unable},
    {"not recorded", absence::not_recorded},
    {"not taken", absence::not_recorded},
    {"not done", absence::not_recorded},
    {"not assessed", absence::not_recorded},
    {"not performed", absence::not_recorded},
    {"exam finding not present", absence::not_present},
    {"finding not present", absence::not_present},
});

bool is_all_dashes(std::string_view text) {
    constexpr std::array<std::string_view, 3> dashes{"-", "\xE2\x80\x93", "\xE2\x80\x94"};
    while (!text.empty()) {
        const auto* const dash = std::ranges::find_if(
            dashes, [text](std::string_view known) { return text.starts_with(known); });
        if (dash == dashes.end()) {
            return false;
        }
        text.remove_prefix(dash->size());
    }
    return true;
}

}  // namespace

std::optional<absence> absence_named(std::string_view text) {
    if (text.empty()) {
        return std::nullopt;
    }
    if (is_digit(text.front())) {
        return nemsis::absence_of_code(text);
    }
    if (is_all_dashes(text)) {
        return absence::blank;
    }
    const auto* const known = std::ranges::find_if(
        absence_words, [text](const absence_word& one) { return same_word(one.word, text); });
    return known == absence_words.end() ? std::nullopt : std::optional(known->why);
}

}  // namespace vitalproof::read
