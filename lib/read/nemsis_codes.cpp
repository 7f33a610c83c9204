#include "read/nemsis_codes.hpp"

#include <algorithm>

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

std::optional<bool> is_irregular(std::string_view code) {
    static constexpr std::array<coded<bool>, 3> table{
        {{"3313001", true}, {"3313003", false}, {"3313005", true}}};
    return look_up(table, code);
}

rhythm rhythm_of(std::string_view code) {
    // Atrial fibrillation and flutter, premature contractions, second-degree block, sinus
    // arrhythmia.
    static constexpr std::array<std::string_view, 7> irregular{
        "9901007", "9901009", "9901013", "9901015", "9901037", "9901039", "9901043"};
    // Asystole, pulseless electrical activity, ventricular fibrillation, pulseless ventricular
    // tachycardia.
    static constexpr std::array<std::string_view, 4> pulseless{"9901003", "9901035", "9901067",
                                                               "9901071"};
    return {is_one_of(irregular, code), code == "9901033", is_one_of(pulseless, code)};
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

drug_effect effect_of_drug(std::string_view code) {
    // Diazepam, etomidate, ketamine, lorazepam, midazolam, propofol; rocuronium, succinylcholine,
    // vecuronium.
    static constexpr std::array<std::string_view, 9> sedation{
        "3322", "4177", "6130", "6470", "6960", "8782", "68139", "10154", "71535"};
    // Acetaminophen, aspirin, ceftriaxone, dexamethasone, heparin, ketorolac, methylprednisolone,
    // ondansetron, thiamine, vancomycin: none acts on a vital sign within minutes (common
    // practice, no source).
    static constexpr std::array<std::string_view, 10> without_effect{
        "161", "1191", "2193", "3264", "5224", "35827", "6902", "26225", "10454", "11124"};
    if (code == "7806") {
        return drug_effect::oxygen;
    }
    return is_one_of(sedation, code)                         ? drug_effect::sedation
           : code.empty() || is_one_of(without_effect, code) ? drug_effect::none
                                                             : drug_effect::treatment;
}

}  // namespace vitalproof::read::nemsis
