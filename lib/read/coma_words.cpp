#include "read/coma_words.hpp"

#include "read/text.hpp"

#include <algorithm>
#include <array>
#include <string>

namespace vitalproof::read {

namespace {

struct response {
    sign_id sign;
    std::string_view begins;  // as bare_name() makes it; what follows says for which ages
    int points;
};

constexpr std::array responses = std::to_array<response>({
    {sign_id::coma_eye, "noeyemovement", 1},
    {sign_id::coma_eye, "openseyestopain", 2},
    {sign_id::coma_eye, "topain", 2},
    {sign_id::coma_eye, "topressure", 2},
    {sign_id::coma_eye, "openseyestoverbal", 3},
    {sign_id::coma_eye, "tovoice", 3},
    {sign_id::coma_eye, "tospeech", 3},
    {sign_id::coma_eye, "tosound", 3},
    {sign_id::coma_eye, "openseyesspontaneously", 4},
    {sign_id::coma_eye, "spontaneous", 4},
    {sign_id::coma_verbal, "noverbal", 1},
    {sign_id::coma_verbal, "incomprehensible", 2},
    {sign_id::coma_verbal, "inappropriate", 3},
    {sign_id::coma_verbal, "confused", 4},
    {sign_id::coma_verbal, "oriented", 5},
    {sign_id::coma_motor, "nomotor", 1},
    {sign_id::coma_motor, "exten", 2},
    {sign_id::coma_motor, "flexiontopain", 3},
    {sign_id::coma_motor, "abnormalflexion", 3},
    {sign_id::coma_motor, "withdraw", 4},
    {sign_id::coma_motor, "locali", 5},
    {sign_id::coma_motor, "obeys", 6},
});

}  // namespace

std::optional<int> points_named(sign_id sign, std::string_view text) {
    const std::string whole = bare_name(text);
    std::string_view words = whole;
    std::optional<int> number;
    if (!words.empty() && is_digit(words.front())) {
        number = words.front() - '0';
        words.remove_prefix(1);
    }
    const auto* const found = std::ranges::find_if(responses, [&](const response& known) {
        return known.sign == sign && words.starts_with(known.begins);
    });
    if (found == responses.end() || number.value_or(found->points) != found->points) {
        return std::nullopt;
    }
    return found->points;
}

bool is_not_testable(sign_id sign, std::string_view text) {
    switch (sign) {
        case sign_id::coma_eye:
            return same_word(text, "nt") || same_word(text, "c") || same_word(text, "1c");
        case sign_id::coma_verbal:
            return same_word(text, "nt") || same_word(text, "t") || same_word(text, "1t");
        case sign_id::coma_motor:
        case sign_id::coma_total:
            return same_word(text, "nt");
        default:
            return false;
    }
}

}  // namespace vitalproof::read
