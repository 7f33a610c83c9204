#include "read/remark.hpp"

#include "read/column_names.hpp"
#include "read/context_words.hpp"
#include "read/text.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <string>

namespace vitalproof::read {

namespace {

template <class... Sign>
constexpr std::uint32_t signs(Sign... sign) {
    return (0U | ... | (1U << index_of(sign)));
}

// Signs of which the same words are said, a bit each.
constexpr std::uint32_t pressures =
    signs(sign_id::systolic, sign_id::diastolic, sign_id::mean_pressure);
constexpr std::uint32_t rates = signs(sign_id::pulse, sign_id::ecg_rate);
constexpr std::uint32_t breathing = signs(sign_id::respiratory_rate);
constexpr std::uint32_t saturation = signs(sign_id::saturation);
constexpr std::uint32_t temperature = signs(sign_id::temperature);

constexpr lane_int oxygen = bit_of(fact::oxygen);
constexpr lane_int assisted = bit_of(fact::ventilated);

struct remark_word {
    std::string_view word;
    std::uint32_t of;
    lane_int yes = 0;
    lane_int no = 0;
};

constexpr std::array words = std::to_array<remark_word>({
    // How a rate feels, and where it was counted. What a rhythm tells is asked of read_rhythm().
    {"reg", rates | breathing},
    {"regular", rates | breathing},
    {"irreg", rates | breathing},
    {"irregular", rates | breathing},
    {"afib", rates},
    {"nsr", rates},
    {"sinus", rates},
    {"paced", rates},
    {"strong", rates},
    {"weak", rates | breathing},
    {"thready", rates},
    {"bounding", rates},
    {"radial", rates},
    {"carotid", rates},
    {"femoral", rates},
    {"brachial", rates},
    {"apical", rates},
    // How the patient breathes.
    {"normal", breathing},
    {"labored", breathing},
    {"laboured", breathing},
    {"unlabored", breathing},
    {"unlaboured", breathing},
    {"non-labored", breathing},
    {"non-laboured", breathing},
    {"shallow", breathing},
    {"deep", breathing},
    {"rapid", breathing},
    {"slow", breathing},
    {"agonal", breathing},
    {"assisted", breathing, assisted},
    {"bvm", breathing, assisted},
    {"vent", breathing, assisted},
    {"ventilator", breathing, assisted},
    {"ventilated", breathing, assisted},
    // On what a saturation was taken.
    {"ra", saturation, 0, oxygen},
    {"r/a", saturation, 0, oxygen},
    {"room", saturation},
    {"air", saturation, 0, oxygen},
    {"o2", saturation, oxygen},
    {"oxygen", saturation, oxygen},
    {"nc", saturation, oxygen},
    {"cannula", saturation, oxygen},
    {"nrb", saturation, oxygen},
    {"nrm", saturation, oxygen},
    {"mask", saturation, oxygen},
    {"cpap", saturation},
    {"bipap", saturation},
    {"bvm", saturation, oxygen},
    {"on", saturation},
    {"via", saturation},
    {"by", saturation},
    {"at", saturation},
    {"with", saturation},
    // Where a temperature was taken.
    {"oral", temperature},
    {"tympanic", temperature},
    {"temporal", temperature},
    {"axillary", temperature},
    {"rectal", temperature},
    {"forehead", temperature},
    {"ear", temperature},
    {"skin", temperature},
    // Where and in what position a pressure was.
    {"left", pressures},
    {"right", pressures},
    {"arm", pressures},
    {"leg", pressures},
    {"wrist", pressures},
    {"sitting", pressures},
    {"standing", pressures},
    {"supine", pressures},
    {"lying", pressures},
    {"manual", pressures},
    {"auto", pressures},
    {"nibp", pressures},
    // Of how many points a score is, and that a tube forbids speech.
    {"/4", signs(sign_id::coma_eye)},
    {"/5", signs(sign_id::coma_verbal)},
    {"/6", signs(sign_id::coma_motor)},
    {"/15", signs(sign_id::coma_total)},
    {"t", signs(sign_id::coma_total)},
});

bool is_flow_unit(std::string_view word) {
    return same_word(word, "l") || same_word(word, "lpm") || same_word(word, "l/min") ||
           same_word(word, "liters") || same_word(word, "litres");
}

bool is_separator(char c) {
    return is_blank(c) || std::string_view(",;()[]").find(c) != std::string_view::npos;
}

std::string_view behind_separators(std::string_view text) {
    while (!text.empty() && is_separator(text.front())) {
        text.remove_prefix(1);
    }
    return text;
}

// `2L`, `15 lpm`: what is left of the text behind it. None where no flow of oxygen begins here: a
// number that is none may be a second reading.
std::optional<std::string_view> behind_flow(std::string_view text) {
    const auto [word, rest] = split_word(text);
    std::size_t digits = 0;
    while (digits < word.size() && (is_digit(word[digits]) || word[digits] == '.')) {
        ++digits;
    }
    if (digits == 0) {
        return std::nullopt;
    }
    if (digits < word.size()) {
        return is_flow_unit(word.substr(digits)) ? std::optional(rest) : std::nullopt;
    }
    const auto next = split_word(rest);
    return is_flow_unit(next.word) ? std::optional(next.rest) : std::nullopt;
}

const remark_word* find_word(std::string_view text, std::uint32_t of) {
    for (const remark_word& known : words) {
        if ((known.of & of) != 0 && same_word(known.word, text)) {
            return &known;
        }
    }
    return nullptr;
}

// Names that say what a number is only beside it: over a column they could be something else, and
// behind a saturation `O2` is on what it was taken.
struct named_in_cell {
    std::string_view name;
    sign_id sign;
    friend bool operator==(const named_in_cell&, const named_in_cell&) = default;
};
constexpr std::array names_in_cells{
    named_in_cell{"p", sign_id::pulse}, named_in_cell{"r", sign_id::respiratory_rate},
    named_in_cell{"t", sign_id::temperature}, named_in_cell{"o2", sign_id::saturation}};

// Whether a name is that of the sign, or of pressures of which it is one.
bool is_name_of(sign_id sign, std::string_view name) {
    const std::string key = header_key(name);
    if (std::ranges::find(names_in_cells, named_in_cell{key, sign}) != names_in_cells.end()) {
        return true;
    }
    const auto named = column_named(key);
    if (!named) {
        return false;
    }
    if (named->heart_rate) {
        return (signs(sign) & rates) != 0;
    }
    if (named->role == column_role::pressures) {
        return (signs(sign) & pressures) != 0;
    }
    return named->role == column_role::sign && named->sign == sign;
}

// Where the first word that begins with a digit stands, behind at most so many others; 0 where
// there is none. Without bounds a long text would be read for nothing.
std::size_t first_number(std::string_view text) {
    constexpr std::size_t longest = 64;
    constexpr int most_words = 4;
    const auto parts_words = [](char c) { return is_blank(c) || c == ':' || c == '='; };
    int words = 0;
    for (std::size_t at = 1; at < std::min(text.size(), longest); ++at) {
        if (!parts_words(text[at - 1]) || parts_words(text[at])) {
            continue;
        }
        if (is_digit(text[at])) {
            return at;
        }
        if (++words == most_words) {
            break;
        }
    }
    return 0;
}

}  // namespace

std::optional<led_number> behind_lead(sign_id sign, std::string_view text) {
    const std::size_t at = first_number(text);
    if (at == 0 || is_digit(text.front())) {
        return std::nullopt;
    }
    const std::string_view lead = text.substr(0, at);
    if (is_name_of(sign, lead)) {
        return led_number{text.substr(at), {}};
    }
    const auto known = read_remark(sign, lead);
    return known ? std::optional(led_number{text.substr(at), *known}) : std::nullopt;
}

first_word split_word(std::string_view text) {
    text = behind_separators(text);
    std::size_t end = text.starts_with('%') ? 1 : 0;
    while (end < text.size() && text.front() != '%' && text[end] != '%' &&
           !is_separator(text[end])) {
        ++end;
    }
    return {text.substr(0, end), behind_separators(text.substr(end))};
}

std::optional<facts> read_remark(sign_id sign, std::string_view remark) {
    const std::uint32_t of = signs(sign);
    lane_int yes = 0;
    lane_int no = 0;
    std::string_view text = behind_separators(remark);
    while (!text.empty()) {
        if (const auto behind = of == saturation ? behind_flow(text) : std::nullopt) {
            yes |= oxygen;
            text = *behind;
            continue;
        }
        const auto [word, rest] = split_word(text);
        const remark_word* known = find_word(word, of);
        if (known == nullptr) {
            return std::nullopt;
        }
        yes |= known->yes;
        no |= known->no;
        text = rest;
    }
    // `RA` beside a flow says two things, and so neither.
    const facts told = facts::from_bits(yes & ~no, no & ~yes);
    return (of & rates) != 0 ? told.overlaid_by(read_rhythm(remark)) : told;
}

}  // namespace vitalproof::read
