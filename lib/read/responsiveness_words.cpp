#include "read/responsiveness_words.hpp"

#include "read/nemsis_codes.hpp"
#include "read/text.hpp"

#include <algorithm>
#include <array>
#include <string>

namespace vitalproof::read {

namespace {

struct level_word {
    std::string_view word;  // as bare_name() makes it
    responsiveness_level level;
};

// Common practice, no source.
constexpr std::array level_words = std::to_array<level_word>({
    {"alert", responsiveness_level::alert},
    {"aalert", responsiveness_level::alert},
    {"alertoriented", responsiveness_level::alert},
    {"alertandoriented", responsiveness_level::alert},
    {"awakealertandoriented", responsiveness_level::alert},
    {"verbal", responsiveness_level::verbal},
    {"vverbal", responsiveness_level::verbal},
    {"voice", responsiveness_level::verbal},
    {"vvoice", responsiveness_level::verbal},
    {"responsivetovoice", responsiveness_level::verbal},
    {"respondstovoice", responsiveness_level::verbal},
    {"responsivetoverbal", responsiveness_level::verbal},
    {"respondstoverbal", responsiveness_level::verbal},
    {"verbalstimuli", responsiveness_level::verbal},
    {"painful", responsiveness_level::painful},
    {"ppainful", responsiveness_level::painful},
    {"pain", responsiveness_level::painful},
    {"ppain", responsiveness_level::painful},
    {"responsivetopain", responsiveness_level::painful},
    {"respondstopain", responsiveness_level::painful},
    {"painfulstimuli", responsiveness_level::painful},
    {"unresponsive", responsiveness_level::unresponsive},
    {"uunresponsive", responsiveness_level::unresponsive},
});

// `A&Ox4`: alert and oriented, to person, place, time and event. Only with its number or its sign,
// since "Ao" and "Cao" are names of people.
constexpr std::array<std::string_view, 4> oriented_words{"ao", "aao", "cao", "caao"};

}  // namespace

std::optional<responsiveness_level> level_named(std::string_view text) {
    if (text.size() == 1) {
        return level_of_letter(text[0]);
    }
    if (const auto by_code = nemsis::responsiveness(text)) {
        return by_code;
    }
    const std::string whole = bare_name(text);
    std::string_view bare = whole;
    bool may_be_oriented = text.find('&') != std::string_view::npos;
    if (!bare.empty() && bare.back() >= '1' && bare.back() <= '4') {
        bare.remove_suffix(1);
        bare.remove_suffix(bare.ends_with('x') ? 1 : 0);
        may_be_oriented = true;
    }
    if (may_be_oriented && std::ranges::find(oriented_words, bare) != oriented_words.end()) {
        return responsiveness_level::alert;
    }
    const auto* const known = std::ranges::find(level_words, bare, &level_word::word);
    if (known == level_words.end() ||
        (bare.size() < whole.size() && known->level != responsiveness_level::alert)) {
        return std::nullopt;
    }
    return known->level;
}

}  // namespace vitalproof::read
