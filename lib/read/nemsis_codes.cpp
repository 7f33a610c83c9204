#include "read/nemsis_codes.hpp"

#include "read/text.hpp"

#include <algorithm>
#include <initializer_list>

namespace vitalproof::read::nemsis {

namespace {

template <class Value>
struct coded {
    std::string_view code;
    Value value;
};

template <class Value, std::size_t N>
constexpr std::optional<Value> look_up(const std::array<coded<Value>, N>& table,
                                       std::string_view code) {
    const auto found = std::ranges::find(table, code, &coded<Value>::code);
    return found == table.end() ? std::nullopt : std::optional(found->value);
}

template <std::size_t N>
constexpr bool is_one_of(const std::array<std::string_view, N>& codes, std::string_view code) {
    return std::ranges::find(codes, code) != codes.end();
}

}  // namespace

absence absence_of(std::string_view not_value, std::string_view negative) {
    static constexpr std::array<coded<absence>, 6> table{{
        {"7701001", absence::not_applicable},
        {"7701003", absence::not_recorded},
        {"7701005", absence::not_carried},  // not reporting
        {"8801005", absence::not_present},  // exam finding not present
        {"8801019", absence::refused},
        {"8801023", absence::unable},
    }};
    const auto by_negative = look_up(table, negative);
    if (by_negative) {
        return *by_negative;
    }
    if (!negative.empty()) {
        return absence::not_recorded;
    }
    return look_up(table, not_value)
        .value_or(not_value.empty() ? absence::blank : absence::not_recorded);
}

std::optional<absence> absence_of_code(std::string_view code) {
    constexpr std::string_view not_values = "7701";
    constexpr std::string_view negatives = "8801";
    if (code.size() != code_size || !std::ranges::all_of(code, is_digit)) {
        return std::nullopt;
    }
    return code.starts_with(not_values)  ? std::optional(absence_of(code, {}))
           : code.starts_with(negatives) ? std::optional(absence_of({}, code))
                                         : std::nullopt;
}

method pressure_method(std::string_view code) {
    static constexpr std::array<coded<method>, 5> table{{
        {"3308001", method::arterial},
        {"3308003", method::doppler},
        {"3308005", method::cuff_machine},
        {"3308007", method::cuff_by_ear},
        {"3308009", method::palpated},
    }};
    return look_up(table, code).value_or(method::unknown);
}

method rate_method(std::string_view code) {
    static constexpr std::array<coded<method>, 3> table{{
        {"3311005", method::by_ecg},
        {"3311007", method::by_oximeter},
        {"3311011", method::felt},
    }};
    return look_up(table, code).value_or(method::unknown);
}

std::optional<charted_unit> co2_unit(std::string_view code) {
    static constexpr std::array<coded<charted_unit>, 3> table{{
        {"3340001", charted_unit::mmhg},
        {"3340003", charted_unit::percent},
        {"3340005", charted_unit::kilopascal},
    }};
    return look_up(table, code);
}

std::optional<responsiveness_level> responsiveness(std::string_view code) {
    static constexpr std::array<coded<responsiveness_level>, 4> table{{
        {"3326001", responsiveness_level::alert},
        {"3326003", responsiveness_level::verbal},
        {"3326005", responsiveness_level::painful},
        {"3326007", responsiveness_level::unresponsive},
    }};
    return look_up(table, code);
}

facts facts_of_rhythm(std::string_view code) {
    // Atrial fibrillation and flutter, premature contractions, second-degree block, sinus
    // arrhythmia; irregular pulses.
    static constexpr std::array<std::string_view, 9> irregular{"9901007", "9901009", "9901013",
                                                               "9901015", "9901037", "9901039",
                                                               "9901043", "3313001", "3313005"};
    constexpr std::string_view regular = "3313003";
    constexpr std::string_view paced = "9901033";
    // Asystole, pulseless electrical activity, ventricular fibrillation, pulseless ventricular
    // tachycardia.
    static constexpr std::array<std::string_view, 4> pulseless{"9901003", "9901035", "9901067",
                                                               "9901071"};
    facts told;
    if (is_one_of(irregular, code)) {
        told.state(fact::irregular_rhythm, true);
    } else if (code == regular) {
        told.state(fact::irregular_rhythm, false);
    } else if (code == paced) {
        told.state(fact::paced, true);
    } else if (is_one_of(pulseless, code)) {
        told.state(fact::arrest, true);
    }
    return told;
}

std::optional<age_unit> age_unit_of(std::string_view code) {
    static constexpr std::array<coded<age_unit>, 5> table{{{"2516009", age_unit::years},
                                                           {"2516007", age_unit::months},
                                                           {"2516001", age_unit::days},
                                                           {"2516003", age_unit::hours},
                                                           {"2516005", age_unit::minutes}}};
    return look_up(table, code);
}

std::optional<bool> is_arrest(std::string_view code) {
    static constexpr std::array<coded<bool>, 3> table{
        {{"3001001", false}, {"3001003", true}, {"3001005", true}}};
    return look_up(table, code);
}

std::optional<bool> did_pulse_return(std::string_view code) {
    static constexpr std::array<coded<bool>, 4> table{
        {{"3012001", false}, {"3012003", true}, {"3012005", true}, {"3012007", true}}};
    return look_up(table, code);
}

bool is_no_patient(std::string_view unit_disposition) {
    static constexpr std::array<std::string_view, 5> codes{"4227003", "4227005", "4227007",
                                                           "4227009", "4227011"};
    return is_one_of(codes, unit_disposition);
}

bool is_refused(std::string_view evaluation_or_transport) {
    static constexpr std::array<std::string_view, 3> codes{"4228003", "4228007", "4230009"};
    return is_one_of(codes, evaluation_or_transport);
}

bool is_transported(std::string_view transport) {
    static constexpr std::array<std::string_view, 4> codes{"4230001", "4230003", "4230005",
                                                           "4230007"};
    return is_one_of(codes, transport);
}

const procedure* find_procedure(std::string_view code) {
    static constexpr std::array<procedure, 25> table{{
        {.code = "232674004", .tube = true},  // orotracheal intubation, and what its row includes
        {.code = "16883004", .tube = true},
        {.code = "52765003", .tube = true},
        {.code = "418613003", .tube = true},
        {.code = "450601000124103", .tube = true},
        {.code = "429705000", .tube = true},
        {.code = "427753009", .tube = true},
        {.code = "424979004", .tube = true},
        {.code = "241689008", .tube = true},  // rapid sequence
        {.code = "450611000124100", .tube = true},
        {.code = "425447009", .ventilation = true, .treatment = true},  // bag and mask
        {.code = "243140006", .ventilation = true, .treatment = true},
        {.code = "385857005", .ventilation = true, .treatment = true},
        {.code = "243142003", .treatment = true},  // pressure support without a tube
        {.code = "47545007", .treatment = true},
        {.code = "45851008", .treatment = true},
        {.code = "57485005", .oxygen = true, .treatment = true},
        {.code = "371907003", .oxygen = true, .treatment = true},
        {.code = "371908008", .oxygen = true, .treatment = true},
        {.code = "89666000", .compressions = true, .treatment = true},  // resuscitation
        {.code = "429283006", .compressions = true, .treatment = true},
        {.code = "18590009", .pacing = true, .treatment = true},
        {.code = "250980009", .treatment = true},  // cardioversion, shocks
        {.code = "426220008", .treatment = true},
        {.code = "450661000124102", .treatment = true},
    }};
    const auto found = std::ranges::find(table, code, &procedure::code);
    return found == table.end() ? nullptr : &*found;
}

std::optional<drug> find_drug(std::string_view code) {
    static constexpr std::array<coded<event_kind>, 19> kinds{{
        {"4850", event_kind::sugar},  // glucose, by strength, and glucagon
        {"1795477", event_kind::sugar},  {"260258", event_kind::sugar},
        {"237653", event_kind::sugar},   {"4832", event_kind::sugar},
        {"4337", event_kind::opioid},  // fentanyl, hydromorphone, morphine
        {"3423", event_kind::opioid},    {"7052", event_kind::opioid},
        {"7242", event_kind::naloxone},  {"4917", event_kind::nitrate},  // nitroglycerin
        {"3322", event_kind::sedation},  // diazepam, etomidate, ketamine, lorazepam, midazolam
        {"4177", event_kind::sedation},  {"6130", event_kind::sedation},
        {"6470", event_kind::sedation},  {"6960", event_kind::sedation},
        {"8782", event_kind::sedation},  // propofol, rocuronium, succinylcholine, vecuronium
        {"68139", event_kind::sedation}, {"10154", event_kind::sedation},
        {"71535", event_kind::sedation},
    }};
    // Acetaminophen, aspirin, ceftriaxone, dexamethasone, heparin, ketorolac, methylprednisolone,
    // ondansetron, thiamine, vancomycin: none acts on a vital sign within minutes (common
    // practice, no source).
    static constexpr std::array<std::string_view, 10> without_effect{
        "161", "1191", "2193", "3264", "5224", "35827", "6902", "26225", "10454", "11124"};
    if (code.empty() || is_one_of(without_effect, code)) {
        return std::nullopt;
    }
    if (code == "7806") {
        return drug{event_kind::treatment, true};
    }
    return drug{look_up(kinds, code).value_or(event_kind::treatment)};
}

event_kind confirmation(std::string_view code) {
    static constexpr std::array<coded<event_kind>, 3> table{{
        {"4004005", event_kind::tube_confirmed_by_colour},
        {"4004009", event_kind::tube_confirmed_by_co2},
        {"4004019", event_kind::tube_confirmed_by_co2},
    }};
    return look_up(table, code).value_or(event_kind::tube_confirmed);
}

namespace {

constexpr std::uint32_t bit(complaint why) { return 1U << static_cast<unsigned>(why); }

// A block of ICD-10-CM by its first letters.
struct block_of_codes {
    std::string_view begins;
    std::uint32_t complaints;
};

bool begins_with_any(std::string_view code, std::initializer_list<std::string_view> beginnings) {
    return std::ranges::any_of(beginnings,
                               [code](std::string_view b) { return code.starts_with(b); });
}

}  // namespace

std::uint32_t complaints_of(std::string_view icd10) {
    // Chapters and categories of ICD-10-CM; which of them belong to a complaint is common
    // practice, no source.
    static constexpr std::array<block_of_codes, 21> blocks{{
        {"R40", bit(complaint::altered_mind)},     // somnolence, stupor, coma
        {"R41.0", bit(complaint::altered_mind)},   // disorientation
        {"R41.82", bit(complaint::altered_mind)},  // altered mental status
        {"E10.64", bit(complaint::altered_mind)},  // diabetes with low blood sugar
        {"E11.64", bit(complaint::altered_mind)},
        {"E13.64", bit(complaint::altered_mind)},
        {"E16.0", bit(complaint::altered_mind)},  // low blood sugar
        {"E16.1", bit(complaint::altered_mind)},
        {"E16.2", bit(complaint::altered_mind)},
        {"G45", bit(complaint::stroke)},  // passing loss of blood flow, bleeding, stroke
        {"I60", bit(complaint::stroke)},
        {"I61", bit(complaint::stroke)},
        {"I63", bit(complaint::stroke)},
        {"I64", bit(complaint::stroke)},
        {"S02", bit(complaint::head_injury)},  // skull, within it, head
        {"S06", bit(complaint::head_injury)},
        {"S09.90", bit(complaint::head_injury)},
        {"J44", bit(complaint::breathing_trouble)},  // chronic lung, asthma
        {"J45", bit(complaint::breathing_trouble)},
        {"J96", bit(complaint::breathing_trouble)},  // respiratory failure
        {"R06.0", bit(complaint::breathing_trouble)},
    }};
    std::uint32_t found = icd10.starts_with('S') ? bit(complaint::injury) : 0U;
    for (const block_of_codes& block : blocks) {
        found |= icd10.starts_with(block.begins) ? block.complaints : 0U;
    }
    return found;
}

bool is_carbon_monoxide(std::string_view icd10) {
    return begins_with_any(icd10, {"T58", "J70.5", "T59.81"});  // monoxide, smoke inhaled
}

bool is_chronic_lung(std::string_view icd10) { return begins_with_any(icd10, {"J43", "J44"}); }

std::optional<bool> is_pregnant(std::string_view code) {
    static constexpr std::array<coded<bool>, 5> table{{{"3118001", false},
                                                       {"3118005", true},
                                                       {"3118007", true},
                                                       {"3118009", true},
                                                       {"3118011", true}}};
    return look_up(table, code);
}

}  // namespace vitalproof::read::nemsis
