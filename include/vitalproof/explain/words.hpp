// An explanation in words for a reviewer: "Swapped? 118/72 fits the sets before and after."
// Used by writers of files and by charting tools. Promises a question and its reason, never a
// verdict; and is no part of what a crew is asked.
#pragma once

#include <vitalproof/explain/slip.hpp>
#include <vitalproof/words.hpp>

#include <array>
#include <cmath>
#include <span>
#include <string>
#include <string_view>
#include <utility>

namespace vitalproof::inline VITALPROOF_ABI {

namespace message {

namespace detail {

inline constexpr std::array<std::string_view, slip_count> slip_words{
    "Swapped",
    "Another unit",
    "A zero or a decimal point slipped",
    "A digit left out",
    "A digit typed twice",
    "Two digits the other way round",
    "Two numbers in one cell",
    "One field too far",
    "A stray letter or dash",
    "A wrong digit",
    "A digit too many"};

/// `118/72`, `pulse 98/min and oxygen saturation 96 %`. Answers how many it named.
inline std::size_t append_meant(std::string& to, const explanation& e) {
    std::size_t named = 0;
    std::span<const meant_value> rest = e.meant();
    if (rest.size() > 1 && rest[0].sign == sign_id::systolic &&
        rest[1].sign == sign_id::diastolic && !std::isnan(rest[1].value)) {
        append_number(to, rest[0].value);
        append_number(to.append("/"), rest[1].value);
        rest = rest.subspan(2);
        named = 1;
    }
    for (const meant_value& v : rest) {
        if (!std::isnan(v.value)) {
            to.append(named++ == 0 ? "" : " and ").append(describe(v.sign).label).append(" ");
            append_with_unit(to, v.value, describe(v.sign).unit);
        }
    }
    return named;
}

inline void append_sets_fitted(std::string& to, const explanation& e) {
    if (e.is(fit::before) || e.is(fit::after)) {
        to.append(e.is(fit::before) && e.is(fit::after) ? "the sets before and after"
                  : e.is(fit::before)                   ? "the set before"
                                                        : "the set after");
    }
}

/// The same verbs for one reading and for several.
inline void append_reason(std::string& to, const explanation& e, bool several) {
    std::string_view between = " ";
    const auto add = [&](std::string_view one, std::string_view many) {
        to.append(std::exchange(between, " and ")).append(several ? many : one);
    };
    if (e.is(fit::before) || e.is(fit::after)) {
        add("fits ", "fit ");
        append_sets_fitted(to, e);
    }
    if (e.is(fit::mean)) {
        add("goes with the mean pressure", "go with the mean pressure");
    }
    if (e.is(fit::rate)) {
        add("makes pulse and ECG rate agree", "make pulse and ECG rate agree");
    }
    if (e.is(fit::coma_score)) {
        add("makes the coma score add up", "make the coma score add up");
    }
    if (between == " ") {
        e.is(fit::usual) ? add("is usual", "are usual") : add("is believable", "are believable");
    }
}

}  // namespace detail

/// Where the words of one explanation lie in a text, and from where on they say why it is offered:
/// `fits the sets before and after.`
struct explanation_words {
    std::size_t begin;
    std::size_t reason;
    std::size_t end;  ///< behind the full stop
};

/// One explanation: which slip, what was meant, why.
inline explanation_words append_explanation(std::string& to, const explanation& e) {
    const std::size_t begin = to.size();
    const std::string_view general = detail::slip_words[static_cast<std::size_t>(e.what)];
    to.append(e.instance.empty() ? general : e.instance).append("? ");
    const std::size_t first = to.size();
    const bool several = detail::append_meant(to, e) > 1;
    if (to[first] >= 'a' && to[first] <= 'z') {
        to[first] = static_cast<char>(to[first] - 'a' + 'A');
    }
    const std::size_t reason = to.size() + 1;
    detail::append_reason(to, e, several);
    to.push_back('.');
    return {begin, reason, to.size()};
}

/// All that explain a finding, in one line, each with its strength; nothing where none does. Tells
/// of each where its own words lie.
template <class Told>
void append_explanations(std::string& to, const explanations& all, Told told) {
    std::string_view between;
    for (const explanation& e : all.all()) {
        told(append_explanation(to.append(std::exchange(between, " ")), e));
        to.append(" (").append(name_of(e.how)).append(")");
    }
}

inline void append_explanations(std::string& to, const explanations& all) {
    append_explanations(to, all, [](const explanation_words& /*of_one*/) {});
}

}  // namespace message

}  // namespace vitalproof::inline VITALPROOF_ABI
