// Random sets from a seed: every state, values on limits and their neighbours, what is no number.
// Used by the property tests. Promises sets that records and columns can both express, the same for
// one seed wherever it is built; in the library's own inline namespace, so that a program may hold
// it built both ways.
#pragma once

#include <vitalproof/columns.hpp>
#include <vitalproof/examine.hpp>

#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {
namespace testing {

/// SplitMix64: small, seeded, the same everywhere.
class dice {
public:
    explicit dice(std::uint64_t seed) : state_(seed) {}

    std::uint64_t roll() {
        std::uint64_t z = state_ += 0x9E3779B97F4A7C15U;
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
        return z ^ (z >> 31U);
    }
    std::size_t below(std::size_t n) { return static_cast<std::size_t>(roll() % n); }
    bool one_in(std::size_t n) { return below(n) == 0; }
    template <class T, std::size_t N>
    const T& any_of(const std::array<T, N>& choices) {
        return choices[below(N)];
    }

private:
    std::uint64_t state_;
};

/// What stands in one cell of a column: its state and, where that is a number, the value. A NaN or
/// an infinity may be handed over as a number: neither path may take it for one.
struct cell {
    reading_state state = reading_state::absent;
    double value = std::numeric_limits<double>::quiet_NaN();
};

inline constexpr std::array<double, 12> no_measurements{0.0,
                                                        -0.0,
                                                        1e300,
                                                        -1e300,
                                                        1e-300,
                                                        1e-45,
                                                        -1e-3,
                                                        3.4e38,
                                                        3.5e38,
                                                        std::numeric_limits<double>::quiet_NaN(),
                                                        std::numeric_limits<double>::infinity(),
                                                        -std::numeric_limits<double>::infinity()};

/// Figures at which checks turn, for signs that do not have them as their own limits.
inline constexpr std::array<double, 27> turning_points{
    -17.8, -3.5, 0.5, 1,    2,  3,  5,  6.5, 8,   9,   10,  14,  15, 16,
    20,    33,   35,  39.1, 50, 60, 80, 90,  100, 110, 131, 220, 601};

inline double limit_of(dice& d, std::size_t sign) {
    static const sign_limits limits{};
    const std::array<bounds, 3> tables{limits.possible[sign], limits.believable[sign],
                                       limits.usual[sign]};
    if (d.one_in(8)) {
        const bounds& other = d.any_of(limits.believable_when);
        return static_cast<double>(d.one_in(2) ? other.low : other.high);
    }
    const bounds& range = d.any_of(tables);
    return static_cast<double>(d.one_in(2) ? range.low : range.high);
}

/// A limit or another turning point, on it or just beside it.
inline double value_near_a_limit(dice& d, std::size_t sign) {
    const double at = d.one_in(3) ? d.any_of(turning_points) : limit_of(d, sign);
    const float as_real = static_cast<float>(at);
    const std::array<double, 7> beside{at,
                                       at - 1,
                                       at + 1,
                                       at - 0.1,
                                       at + 0.1,
                                       static_cast<double>(std::nextafter(as_real, -1e30F)),
                                       static_cast<double>(std::nextafter(as_real, 1e30F))};
    return d.any_of(beside);
}

inline double usual_value(dice& d, std::size_t sign) {
    static const sign_limits limits{};
    const bounds& range = limits.believable[sign];
    const double low = static_cast<double>(range.low);
    const double share = static_cast<double>(d.below(101)) / 100;
    return std::round(low + share * (static_cast<double>(range.high) - low));
}

inline cell random_cell(dice& d, std::size_t sign) {
    constexpr std::array<reading_state, 3> odd{reading_state::above, reading_state::below,
                                               reading_state::unreadable};
    switch (d.below(12)) {
        case 0:
        case 1:
            return {};
        case 2:
            return {d.any_of(odd), std::numeric_limits<double>::quiet_NaN()};
        case 3:
            return {reading_state::number, d.any_of(no_measurements)};
        case 4:
            return {reading_state::number, 0};
        case 5:
        case 6:
        case 7:
            return {reading_state::number, value_near_a_limit(d, sign)};
        default:
            return {reading_state::number, usual_value(d, sign)};
    }
}

inline facts random_facts(dice& d, std::size_t one_in) {
    facts known;
    for (std::size_t i = 0; i < fact_count; ++i) {
        if (d.one_in(one_in)) {
            known.state(static_cast<fact>(i), d.one_in(2));
        }
    }
    return known;
}

inline method random_method(dice& d) { return static_cast<method>(d.below(9)); }

inline std::optional<age_in_years> random_age(dice& d) {
    constexpr std::array<double, 18> ages{0, 0.07,  0.0767, 0.25,   0.999, 1,     1.5, 1.999, 2,
                                          5, 9.999, 10,     15.999, 16,    64.99, 65,  130.5, -1};
    return d.one_in(3) ? std::nullopt : std::optional(age_in_years(d.any_of(ages)));
}

/// Rows as columns hold them, and as records.
struct rows {
    std::vector<care_report> reports{};
    std::array<std::vector<double>, sign_count> values{};
    std::array<std::vector<reading_state>, sign_count> states{};
    std::array<bool, sign_count> carried{};
    std::vector<facts> known{};
    std::vector<double> ages{};
    std::vector<std::uint64_t> reports_of_rows{};
    std::vector<std::int64_t> seconds{};

    std::size_t size() const { return known.size(); }
};

template <VitalSign S>
reading<S> reading_of(const cell& c) {
    switch (c.state) {
        case reading_state::number:
            return reading<S>(value_of<S>::from_value(c.value));
        case reading_state::above:
            return reading<S>::above();
        case reading_state::below:
            return reading<S>::below();
        case reading_state::unreadable:
            return reading<S>::unreadable();
        case reading_state::absent:
            break;
    }
    return reading<S>::absent(absence::blank);
}

/// A copy of the column's last value now and then, as sets carried forward have it.
inline cell cell_after(dice& d, const rows& rows, std::size_t sign, bool follows_another) {
    if (follows_another && rows.carried[sign] && d.one_in(5)) {
        const cell before{rows.states[sign].back(), rows.values[sign].back()};
        return d.one_in(4) && before.state == reading_state::number
                   ? cell{before.state, before.value + static_cast<double>(d.below(150)) - 75}
                   : before;
    }
    return random_cell(d, sign);
}

inline vital_set random_set(dice& d, rows& into, bool follows_another) {
    vital_set set;
    cell last{};
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        const std::size_t sign = index_of(S::info.id);
        cell c = cell_after(d, into, sign, follows_another);
        if (last.state == reading_state::number && d.one_in(8)) {
            c = last;  // equal to the sign before: systolic and diastolic, pulse and ECG rate
        }
        last = c;
        if (into.carried[sign]) {
            set[s] = reading_of<S>(c);
            into.values[sign].push_back(c.value);
            into.states[sign].push_back(c.state);
        }
        if (d.one_in(3)) {
            set[s].set_method(random_method(d));
        }
    });
    if (d.one_in(4)) {
        set.known = random_facts(d, 6);
    }
    return set;
}

/// `count` rows in reports of one to five sets. Most signs have a column; one in eight has none.
inline rows random_rows(std::uint64_t seed, std::size_t count, bool every_sign_carried = false) {
    dice d(seed);
    rows made;
    for (bool& carried : made.carried) {
        carried = !d.one_in(8) || every_sign_carried;
    }
    while (made.size() < count) {
        care_report report;
        report.id = std::to_string(made.reports.size());
        report.age = random_age(d);
        report.known = d.one_in(2) ? facts{} : random_facts(d, 8);
        // A report longer than two blocks now and then.
        const std::size_t most = d.one_in(60) ? 700 : 6;
        const std::size_t sets = std::min(count - made.size(), 1 + d.below(most));
        std::int64_t now = 1'800'000'000;
        for (std::size_t i = 0; i < sets; ++i) {
            vital_set set = random_set(d, made, i != 0);
            now += d.one_in(4) ? 0 : static_cast<std::int64_t>(30 * d.below(30));
            if (!d.one_in(40)) {
                set.taken_at = set_time{std::chrono::local_seconds{std::chrono::seconds{now}}};
            }
            made.reports_of_rows.push_back(made.reports.size());
            made.seconds.push_back(set.taken_at ? now : row_place::no_time);
            made.known.push_back(
                report.known.overlaid_by(facts_of_methods(set).overlaid_by(set.known)));
            made.ages.push_back(report.age ? report.age->count()
                                           : std::numeric_limits<double>::quiet_NaN());
            report.sets.push_back(set);
        }
        made.reports.push_back(std::move(report));
    }
    return made;
}

/// The columns of the rows; they must outlive the result.
inline vital_columns columns_of(const rows& from) {
    vital_columns columns(from.size());
    for_each_sign(all_signs{}, [&]<VitalSign S>(S) {
        const std::size_t sign = index_of(S::info.id);
        if (from.carried[sign]) {
            columns.add<S>(from.values[sign], typename S::unit{}, from.states[sign]);
        }
    });
    columns.add_known(from.known).add_ages(from.ages);
    columns.add_reports(from.reports_of_rows).add_times(from.seconds);
    return columns;
}

/// The flags of the record path, one bit a row and check, laid out as flag_columns are.
inline std::vector<std::vector<flag_word>> fired_by_records(const rows& from) {
    const std::size_t words = (from.size() + word_rows - 1) / word_rows;
    std::vector<std::vector<flag_word>> fired(check_count, std::vector<flag_word>(words));
    std::vector<std::size_t> first_row;
    std::size_t row = 0;
    for (const care_report& report : from.reports) {
        first_row.push_back(row);
        row += report.sets.size();
    }
    const auto note = [&](std::span<const finding> of_set) {
        for (const finding& f : of_set) {
            const std::size_t at = first_row[std::stoul(f.report)] + f.set - 1;
            fired[f.check][at / word_rows] |= flag_word{1} << (at % word_rows);
        }
    };
    examiner all;
    for (care_report report : from.reports) {
        all.add(report, note);
    }
    all.finish(note);
    return fired;
}

}  // namespace testing
}  // namespace vitalproof::inline VITALPROOF_ABI
