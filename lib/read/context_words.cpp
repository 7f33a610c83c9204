#include "read/context_words.hpp"

#include "read/nemsis_codes.hpp"
#include "read/number.hpp"
#include "read/text.hpp"

#include <algorithm>
#include <array>
#include <chrono>

namespace vitalproof::read {

namespace {

template <class Meaning>
struct word {
    std::string_view name;  // as bare_name() makes it
    Meaning meaning;
};

template <class Meaning, std::size_t N>
std::optional<Meaning> look_up(const std::array<word<Meaning>, N>& words, std::string_view text) {
    const std::string name = bare_name(text);
    for (const word<Meaning>& known : words) {
        if (known.name == name) {
            return known.meaning;
        }
    }
    return std::nullopt;
}

template <class Period>
age_in_years years_from(double count) {
    return std::chrono::duration<double, Period>(count);
}

// Whether a text is written as the codes of an element of the national standard are.
bool is_code_of(std::string_view element, std::string_view text) {
    return text.size() == nemsis::code_size && text.starts_with(element) &&
           std::ranges::all_of(text, [](char c) { return is_digit(c); });
}

}  // namespace

std::optional<bool> read_yes_no(std::string_view text) {
    static constexpr std::array<word<bool>, 10> words{{{"yes", true},
                                                       {"y", true},
                                                       {"true", true},
                                                       {"1", true},
                                                       {"no", false},
                                                       {"n", false},
                                                       {"false", false},
                                                       {"0", false},
                                                       {nemsis::yes, true},
                                                       {nemsis::no, false}}};
    return look_up(words, text);
}

std::optional<method> read_pressure_method(std::string_view text) {
    if (is_code_of("3308", text)) {
        return nemsis::pressure_method(text);
    }
    static constexpr std::array<word<method>, 17> words{
        {{"machine", method::cuff_machine},
         {"automatic", method::cuff_machine},
         {"automated", method::cuff_machine},
         {"nibp", method::cuff_machine},
         {"ear", method::cuff_by_ear},
         {"auscultated", method::cuff_by_ear},
         {"manual", method::cuff_by_ear},
         {"palpated", method::palpated},
         {"palp", method::palpated},
         {"doppler", method::doppler},
         {"arterial", method::arterial},
         {"aline", method::arterial},
         {"cuffautomated", method::cuff_machine},
         {"cuffmanualauscultated", method::cuff_by_ear},
         {"cuffmanualpalpatedonly", method::palpated},
         {"arterialline", method::arterial},
         {"venousline", method::unknown}}};
    return look_up(words, text);
}

std::optional<method> read_pulse_method(std::string_view text) {
    if (is_code_of("3311", text)) {
        return nemsis::rate_method(text);
    }
    static constexpr std::array<word<method>, 14> words{
        {{"felt", method::felt},
         {"palpated", method::felt},
         {"manual", method::felt},
         {"oximeter", method::by_oximeter},
         {"pleth", method::by_oximeter},
         {"pulseox", method::by_oximeter},
         {"ecg", method::by_ecg},
         {"ekg", method::by_ecg},
         {"monitor", method::by_ecg},
         {"electronicmonitorcardiac", method::by_ecg},
         {"electronicmonitorpulseoximeter", method::by_oximeter},
         {"electronicmonitorother", method::unknown},
         {"auscultated", method::unknown},
         {"doppler", method::unknown}}};
    return look_up(words, text);
}

facts read_rhythm(std::string_view text) {
    struct rhythm_word {
        std::string_view part;  // of the bare text
        fact known;
    };
    static constexpr std::array<rhythm_word, 16> words{{
        {"irreg", fact::irregular_rhythm},
        {"atrialfib", fact::irregular_rhythm},
        {"afib", fact::irregular_rhythm},
        {"atrialflutter", fact::irregular_rhythm},
        {"prematureatrial", fact::irregular_rhythm},
        {"prematureventricular", fact::irregular_rhythm},
        {"avblock2nddegree", fact::irregular_rhythm},
        {"sinusarrhythmia", fact::irregular_rhythm},
        {"paced", fact::paced},
        {"asystole", fact::arrest},
        {"pulselesselectrical", fact::arrest},
        {"ventricularfib", fact::arrest},
        {"vfib", fact::arrest},
        {"tachycardiapulseless", fact::arrest},
        {"pulselessventricular", fact::arrest},
        {"pulselessvt", fact::arrest},
    }};
    facts told;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find_first_of(",;|"), text.size());
        const std::string_view one = trimmed(text.substr(0, end));
        const std::string bare = bare_name(one);
        for (const rhythm_word& word : words) {
            if (bare.find(word.part) != bare.npos) {
                told.state(word.known, true);
            }
        }
        told = told.overlaid_by(nemsis::facts_of_rhythm(one));
        if (bare == "pea") {
            told.state(fact::arrest, true);
        } else if (bare == "regular") {
            told.state(fact::irregular_rhythm, false);
        }
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return told;
}

facts read_breathing_effort(std::string_view text) {
    const std::string bare = bare_name(text);
    facts told;
    if (text == nemsis::breathing_assisted || bare.find("assisted") != bare.npos) {
        told.state(fact::ventilated, true);
    }
    return told;
}

std::optional<bool> read_captured(std::string_view text) {
    static constexpr std::array<word<bool>, 4> words{
        {{"captured", true}, {"monitor", true}, {"charted", false}, {"manual", false}}};
    return look_up(words, text);
}

std::optional<disposition> read_disposition(std::string_view text) {
    static constexpr std::array<word<disposition>, 31> words{
        {{"nopatient", disposition::no_patient},
         {"nopatientfound", disposition::no_patient},
         {"nopatientcontact", disposition::no_patient},
         {"cancelled", disposition::no_patient},
         {"canceled", disposition::no_patient},
         {"standby", disposition::no_patient},
         {"deadonscene", disposition::dead_on_scene},
         {"doa", disposition::dead_on_scene},
         {"deadonarrival", disposition::dead_on_scene},
         {"obviousdeath", disposition::dead_on_scene},
         {"resuscitationended", disposition::resuscitation_ended},
         {"resuscitationterminated", disposition::resuscitation_ended},
         {"refused", disposition::refused},
         {"refusal", disposition::refused},
         {"patientrefused", disposition::refused},
         {"refusedcare", disposition::refused},
         {"refusedtransport", disposition::refused},
         {"ama", disposition::refused},
         {"againstmedicaladvice", disposition::refused},
         {"released", disposition::not_transported},
         {"treatedandreleased", disposition::not_transported},
         {"treatandrelease", disposition::not_transported},
         {"nottransported", disposition::not_transported},
         {"notransport", disposition::not_transported},
         {"transported", disposition::transported},
         {"transport", disposition::transported},
         {"treatedandtransported", disposition::transported},
         {"transfer", disposition::transferred},
         {"transferred", disposition::transferred},
         {"interfacility", disposition::transferred},
         {"hospitaltransfer", disposition::transferred}}};
    return look_up(words, text);
}

told_complaint read_complaint(std::string_view text) {
    struct complaint_word {
        std::string_view part;  // of the bare text
        complaint why;
    };
    static constexpr std::array<complaint_word, 22> complaints{{
        {"alteredmental", complaint::altered_mind},
        {"alteredlevel", complaint::altered_mind},
        {"unconscious", complaint::altered_mind},
        {"unresponsive", complaint::altered_mind},
        {"confus", complaint::altered_mind},
        {"hypoglyc", complaint::altered_mind},
        {"lowbloodsugar", complaint::altered_mind},
        {"stroke", complaint::stroke},
        {"cerebrovascular", complaint::stroke},
        {"facialdroop", complaint::stroke},
        {"headinjur", complaint::head_injury},
        {"headtrauma", complaint::head_injury},
        {"braininjur", complaint::head_injury},
        {"shortnessofbreath", complaint::breathing_trouble},
        {"difficultybreathing", complaint::breathing_trouble},
        {"troublebreathing", complaint::breathing_trouble},
        {"respiratorydistress", complaint::breathing_trouble},
        {"dyspn", complaint::breathing_trouble},
        {"asthma", complaint::breathing_trouble},
        {"fractur", complaint::injury},
        {"trauma", complaint::injury},
        {"injur", complaint::injury},
    }};
    struct fact_word {
        std::string_view part;
        fact known;
    };
    static constexpr std::array<fact_word, 14> facts_told{{
        {"hypothermi", fact::exposure},
        {"hyperthermi", fact::exposure},
        {"exposure", fact::exposure},
        {"frostbite", fact::exposure},
        {"drown", fact::exposure},
        {"submers", fact::exposure},
        {"immersion", fact::exposure},
        {"heatstroke", fact::exposure},
        {"heatexhaustion", fact::exposure},
        {"burn", fact::exposure},
        {"carbonmonoxide", fact::carbon_monoxide},
        {"smokeinhal", fact::carbon_monoxide},
        {"pregnan", fact::pregnant},
        {"inlabor", fact::pregnant},
    }};
    const std::string bare = bare_name(text);
    const auto holds = [&](std::string_view part) { return bare.find(part) != bare.npos; };
    told_complaint told;
    for (const complaint_word& word : complaints) {
        // "Heat stroke" is none; "no injury" is said of falls.
        const bool other =
            (word.part == "stroke" && holds("heatstroke")) ||
            (word.why == complaint::injury && (holds("noinjur") || holds("deniesinjur")));
        if (holds(word.part) && !other) {
            told.complaints |= 1U << static_cast<unsigned>(word.why);
        }
    }
    for (const fact_word& word : facts_told) {
        if (holds(word.part)) {
            told.known.state(word.known, true);
        }
    }
    return told;
}

std::optional<age_unit> read_age_unit(std::string_view text) {
    static constexpr std::array<word<age_unit>, 27> words{{
        {"years", age_unit::years},     {"year", age_unit::years},     {"yrs", age_unit::years},
        {"yr", age_unit::years},        {"y", age_unit::years},        {"yo", age_unit::years},
        {"yearsold", age_unit::years},  {"yearold", age_unit::years},  {"months", age_unit::months},
        {"month", age_unit::months},    {"mos", age_unit::months},     {"mo", age_unit::months},
        {"weeks", age_unit::weeks},     {"week", age_unit::weeks},     {"wks", age_unit::weeks},
        {"wk", age_unit::weeks},        {"days", age_unit::days},      {"day", age_unit::days},
        {"d", age_unit::days},          {"hours", age_unit::hours},    {"hour", age_unit::hours},
        {"hrs", age_unit::hours},       {"hr", age_unit::hours},       {"h", age_unit::hours},
        {"minutes", age_unit::minutes}, {"minute", age_unit::minutes}, {"min", age_unit::minutes},
    }};
    const auto by_code = nemsis::age_unit_of(text);
    return by_code ? by_code : look_up(words, text);
}

std::optional<age_in_years> read_age(std::string_view text, std::optional<age_unit> unit) {
    text = trimmed(text);
    const auto end = std::ranges::find_if(text, vitalproof::detail::is_letter);
    const auto digits = static_cast<std::size_t>(end - text.begin());
    const std::optional<double> count = parse_number(trimmed(text.substr(0, digits)));
    if (digits < text.size()) {
        unit = read_age_unit(text.substr(digits));
    }
    if (!count || *count < 0 || !unit) {
        return std::nullopt;
    }
    switch (*unit) {
        case age_unit::years:
            return age_in_years(*count);
        case age_unit::months:
            return years_from<std::chrono::months::period>(*count);
        case age_unit::weeks:
            return years_from<std::chrono::weeks::period>(*count);
        case age_unit::days:
            return years_from<std::chrono::days::period>(*count);
        case age_unit::hours:
            return years_from<std::chrono::hours::period>(*count);
        case age_unit::minutes:
            return years_from<std::chrono::minutes::period>(*count);
    }
    return std::nullopt;
}

}  // namespace vitalproof::read
