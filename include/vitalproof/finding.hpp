// What a check says of a set: facts, not wording.
// Made by both runners, read by whoever writes. Promises that text, units and language are chosen
// when it is written, and that a finding holds nothing about the patient beyond the readings it
// speaks of.
#pragma once

#include <vitalproof/catalogue.hpp>
#include <vitalproof/charted_text.hpp>
#include <vitalproof/explain/slip.hpp>
#include <vitalproof/vital_set.hpp>

#include <array>
#include <cassert>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {

/// How a unit is written.
template <class Unit>
inline constexpr std::string_view symbol_of = "";
template <>
inline constexpr std::string_view symbol_of<units::mmhg> = "mmHg";
template <>
inline constexpr std::string_view symbol_of<units::per_minute> = "/min";
template <>
inline constexpr std::string_view symbol_of<units::percent> = "%";
template <>
inline constexpr std::string_view symbol_of<units::mg_per_dl> = "mg/dL";
template <>
inline constexpr std::string_view symbol_of<units::celsius> = "°C";
template <>
inline constexpr std::string_view symbol_of<units::point> = "points";
template <>
inline constexpr std::string_view symbol_of<units::minute> = "min";

/// Whether a reading is of the set that a finding is about, or of a neighbour in its report.
enum class evidence_place : std::uint8_t { here, before, after };

/// A reading a finding rests on.
struct evidence_reading {
    sign_id sign;
    reading_state state;
    absence why_absent;
    double value;  ///< in the held unit; NaN where there is no number
    charted_text charted;
    evidence_place where = evidence_place::here;
    std::size_t set = 0;  ///< of a neighbour: its number in the report, from 1
};

/// A number a check worked out, for the reviewer: what the formula gives, what another unit gives.
struct evidence_number {
    std::string_view name;
    std::string_view unit;
    double value;
};

/// A moment of the call that a finding rests on.
struct evidence_time {
    std::string_view name;
    set_time at;
};

/// The readings and worked-out numbers behind a finding. Bounded: no check looks at more.
class evidence {
public:
    static constexpr std::size_t most_readings = sign_count;

    void add(const evidence_reading& r) {
        assert(reading_count_ < readings_.size());
        readings_[reading_count_++] = r;
    }

    /// A worked-out number under a name that texts may use as `{name}`.
    template <class Unit, class Number>
    void add(std::string_view name, quantity<Unit, Number> value) {
        assert(number_count_ < numbers_.size());
        numbers_[number_count_++] = {name, symbol_of<Unit>, static_cast<double>(value.value())};
    }

    void add(const evidence_time& t) {
        assert(time_count_ < times_.size());
        times_[time_count_++] = t;
    }

    void clear() { reading_count_ = number_count_ = time_count_ = 0; }

    std::span<const evidence_time> times() const { return {times_.data(), time_count_}; }
    std::span<const evidence_reading> readings() const {
        return {readings_.data(), reading_count_};
    }
    std::span<const evidence_number> numbers() const { return {numbers_.data(), number_count_}; }

private:
    std::array<evidence_reading, most_readings> readings_{};
    std::array<evidence_number, 2> numbers_{};
    std::size_t reading_count_ = 0;
    std::size_t number_count_ = 0;
    std::array<evidence_time, 1> times_{};
    std::size_t time_count_ = 0;
};

/// A reading of a set as evidence.
template <VitalSign S>
constexpr evidence_reading evidence_of(const vital_set& set, S sign) {
    const reading<S>& r = set[sign];
    return {S::info.id, r.state(), r.why_absent(), r.raw(), set.charted[sign]};
}

struct batch_finding;

struct finding {
    std::size_t check = 0;  ///< its place in the catalogue
    std::string report{};
    std::string crew{};
    std::string device{};  ///< the report's, for counts
    std::size_t set = 0;   ///< from 1, in the order of the report
    std::optional<set_time> taken_at{};
    std::uint64_t line = 0;  ///< in its source; 0 when it came from no file
    std::string place{};     ///< of the reading it is about, where a line does not say it
    facts known{};           ///< what was known of the set when it was judged
    vitalproof::evidence evidence{};
    /// The finding about the reading's whole column that explains this one; none as a rule.
    const batch_finding* part_of = nullptr;
    /// False where the source states no unit for the reading and its number would fit another than
    /// the one assumed.
    bool unit_stated = true;
    /// What was probably meant, for the reviewer; never part of the question to a crew.
    explanations perhaps{};

    const check_info& info() const { return check_table[check]; }
};

namespace detail {

using explain_function = void (*)(const readings&, evidence&);

template <class C>
void explain_check(const readings& r, evidence& e) {
    if constexpr (requires { C::explain(r, e); }) {
        C::explain(r, e);
    }
}

template <class... C>
constexpr std::array<explain_function, sizeof...(C)> explains_of(check_list<C...>) {
    return {&explain_check<C>...};
}

inline constexpr auto explain_table = explains_of(catalogue{});

/// A check of reports: whether a set concerns it, where it can say so; whether it fires on one that
/// does; and its evidence. Null for other checks.
struct report_functions {
    bool (*concerns)(const care_report&, std::size_t set) = nullptr;
    bool (*fires)(const care_report&, std::size_t set, const limits&) = nullptr;
    void (*explain)(const care_report&, std::size_t set, const limits&, evidence&) = nullptr;
};

template <class C>
constexpr report_functions report_functions_of() {
    if constexpr (ReportCheck<C>) {
        report_functions of;
        if constexpr (Concerned<C>) {
            of.concerns = C::concerns;
        }
        of.fires = [](const care_report& r, std::size_t set, const limits& in_force) {
            return C::fires_in(r, set, in_force.of<C>());
        };
        of.explain = [](const care_report& r, std::size_t set, const limits& in_force,
                        evidence& e) { C::explain(r, set, in_force.of<C>(), e); };
        return of;
    } else {
        return {};
    }
}

template <class... C>
constexpr std::array<report_functions, sizeof...(C)> report_functions_table(check_list<C...>) {
    return {report_functions_of<C>()...};
}

inline constexpr auto report_table = report_functions_table(catalogue{});

}  // namespace detail

}  // namespace vitalproof::inline VITALPROOF_ABI
