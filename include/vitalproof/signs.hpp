// The vital signs: one tag type a sign, with its unit, names and codes.
// Used wherever a value needs to know what it measures. Promises that a pulse and a breathing
// rate, or a systolic and a diastolic pressure, are different types although their units agree.
// To add a sign: one tag here and its place in `all_signs`, a member in vital_set.hpp, a row in
// limits.hpp. The static tests say what is still missing.
#pragma once

#include <vitalproof/units.hpp>

#include <array>
#include <concepts>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {

enum class sign_id : std::uint8_t {
    systolic,
    diastolic,
    mean_pressure,
    pulse,
    ecg_rate,
    respiratory_rate,
    saturation,
    glucose,
    exhaled_co2,
    temperature,
    coma_eye,
    coma_verbal,
    coma_motor,
    coma_total,
    responsiveness,
};

inline constexpr std::size_t sign_count = 15;

constexpr std::size_t index_of(sign_id id) { return static_cast<std::size_t>(id); }

/// What is said about a sign. `element` is its data element in the national EMS data standard
/// (NEMSIS v3.5.0 data dictionary); LOINC and UCUM codes are those of HL7's vital-signs profile
/// where it has the sign, the others from memory (pulse 8893-0, ECG rate 76282-3, glucose by meter
/// 41653-7, exhaled CO2 19891-1, coma score 9267-6 to 9270-0).
struct sign_info {
    sign_id id;
    std::string_view name;   ///< in codes, files and columns: `respiratory_rate`
    std::string_view label;  ///< in a sentence: `respiratory rate`
    std::string_view unit;   ///< the unit it is held in, as written: `/min`
    std::string_view ucum;
    std::string_view loinc;
    std::string_view element;
};

namespace sign {

struct systolic {
    using unit = units::mmhg;
    static constexpr sign_info info{sign_id::systolic, "systolic", "systolic",  "mmHg",
                                    "mm[Hg]",          "8480-6",   "eVitals.06"};
};
struct diastolic {
    using unit = units::mmhg;
    static constexpr sign_info info{sign_id::diastolic, "diastolic", "diastolic", "mmHg",
                                    "mm[Hg]",           "8462-4",    "eVitals.07"};
};
struct mean_pressure {
    using unit = units::mmhg;
    static constexpr sign_info info{sign_id::mean_pressure,
                                    "mean_pressure",
                                    "mean pressure",
                                    "mmHg",
                                    "mm[Hg]",
                                    "8478-0",
                                    "eVitals.09"};
};
/// Pulse felt by hand or counted by an oximeter: what reaches the periphery.
struct pulse {
    using unit = units::per_minute;
    static constexpr sign_info info{sign_id::pulse, "pulse",  "pulse",     "/min",
                                    "/min",         "8893-0", "eVitals.10"};
};
/// Heart rate counted by the ECG: what the monitor sees, felt or not.
struct ecg_rate {
    using unit = units::per_minute;
    static constexpr sign_info info{sign_id::ecg_rate, "ecg_rate",  "ECG rate", "/min", "/min",
                                    "76282-3",         "eVitals.10"};
};
struct respiratory_rate {
    using unit = units::per_minute;
    static constexpr sign_info info{sign_id::respiratory_rate,
                                    "respiratory_rate",
                                    "respiratory rate",
                                    "/min",
                                    "/min",
                                    "9279-1",
                                    "eVitals.14"};
};
struct saturation {
    using unit = units::percent;
    static constexpr sign_info info{
        sign_id::saturation, "saturation", "oxygen saturation", "%", "%", "59408-5", "eVitals.12"};
};
struct glucose {
    using unit = units::mg_per_dl;
    static constexpr sign_info info{sign_id::glucose, "glucose", "blood glucose", "mg/dL",
                                    "mg/dL",          "41653-7", "eVitals.18"};
};
struct exhaled_co2 {
    using unit = units::mmhg;
    static constexpr sign_info info{
        sign_id::exhaled_co2, "exhaled_co2", "exhaled CO2", "mmHg", "mm[Hg]", "19891-1",
        "eVitals.16"};
};
struct temperature {
    using unit = units::celsius;
    static constexpr sign_info info{
        sign_id::temperature, "temperature", "temperature", "°C", "Cel", "8310-5", "eVitals.24"};
};
struct coma_eye {
    using unit = units::point;
    static constexpr sign_info info{sign_id::coma_eye, "coma_eye", "coma score eye", "points",
                                    "{score}",         "9267-6",   "eVitals.19"};
};
struct coma_verbal {
    using unit = units::point;
    static constexpr sign_info info{
        sign_id::coma_verbal, "coma_verbal", "coma score verbal", "points", "{score}", "9270-0",
        "eVitals.20"};
};
struct coma_motor {
    using unit = units::point;
    static constexpr sign_info info{sign_id::coma_motor, "coma_motor", "coma score motor", "points",
                                    "{score}",           "9268-4",     "eVitals.21"};
};
struct coma_total {
    using unit = units::point;
    static constexpr sign_info info{sign_id::coma_total, "coma_total", "coma score total", "points",
                                    "{score}",           "9269-2",     "eVitals.23"};
};
/// Alert, verbal, painful, unresponsive: a code with an order, not a number with a unit.
struct responsiveness {
    using unit = units::responsiveness_code;
    static constexpr sign_info info{sign_id::responsiveness,
                                    "responsiveness",
                                    "responsiveness",
                                    "",
                                    "",
                                    "67775-7",
                                    "eVitals.26"};
};

}  // namespace sign

/// A tag type from namespace `sign`.
template <class S>
concept VitalSign = requires {
    typename S::unit;
    { S::info } -> std::convertible_to<sign_info>;
};

/// A list of signs, to be named by a check as what it needs or sees.
template <VitalSign... S>
struct sign_list {
    static constexpr std::size_t size = sizeof...(S);
    static constexpr std::uint32_t mask = ((1U << index_of(S::info.id)) | ... | 0U);
};

using all_signs = sign_list<sign::systolic, sign::diastolic, sign::mean_pressure, sign::pulse,
                            sign::ecg_rate, sign::respiratory_rate, sign::saturation, sign::glucose,
                            sign::exhaled_co2, sign::temperature, sign::coma_eye, sign::coma_verbal,
                            sign::coma_motor, sign::coma_total, sign::responsiveness>;

/// Calls `f(S{})` for every sign of the list, in order.
template <class F, VitalSign... S>
constexpr void for_each_sign(sign_list<S...>, F&& f) {
    (f(S{}), ...);
}

template <VitalSign... S>
constexpr std::array<sign_info, sizeof...(S)> sign_table_of(sign_list<S...>) {
    return {S::info...};
}

/// Every sign's description, indexed by sign_id.
inline constexpr auto sign_table = sign_table_of(all_signs{});

constexpr const sign_info& describe(sign_id id) { return sign_table[index_of(id)]; }

/// A value of sign S in the unit it is held in, as a user handles it.
template <VitalSign S>
using value_of = quantity<typename S::unit, double>;

/// The same inside a predicate.
template <VitalSign S>
using lane_value_of = quantity<typename S::unit, real>;

/// Level of consciousness on the four-step scale; the number is its code in a column.
enum class responsiveness_level : std::uint8_t { alert = 1, verbal, painful, unresponsive };

constexpr std::string_view name_of(responsiveness_level level) {
    constexpr std::array<std::string_view, 5> names{"", "alert", "verbal", "painful",
                                                    "unresponsive"};
    return names[static_cast<std::size_t>(level)];
}

}  // namespace vitalproof::inline VITALPROOF_ABI
