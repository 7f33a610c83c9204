// Every single slip that could have made a set's numbers what they are.
// Used by the explainer on sets in doubt. Promises a bounded list without allocation, each entry
// with the values it would put back, and nothing about whether it is likely.
#pragma once

#include <vitalproof/explain/charted_digits.hpp>
#include <vitalproof/explain/charted_pair.hpp>
#include <vitalproof/explain/set_numbers.hpp>
#include <vitalproof/explain/slip.hpp>

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>
#include <string_view>
#include <utility>

namespace vitalproof::inline VITALPROOF_ABI {

/// A slip undone: the values meant, and of how many equal ways of slipping this is one.
struct slip_candidate {
    slip what = slip::swapped;
    std::uint8_t count = 0;
    std::uint32_t signs = 0;  ///< bits of those that change
    float ways = 1;
    std::string_view instance{};
    std::array<meant_value, explanation::most_values> values{};

    constexpr slip_candidate& meant(sign_id id, double value) {
        values[count++] = {id, value};
        signs |= 1U << index_of(id);
        return *this;
    }
};

/// The candidates of one set. Made anew for each: `begin`, then `of_sign` for every sign in doubt.
class slip_candidates {
public:
    static constexpr std::size_t most = 192;

    /// `carried` are the signs that the report has a field for.
    void begin(const set_numbers& numbers, std::uint32_t carried) {
        numbers_ = numbers;
        carried_ = carried;
        count_ = 0;
    }

    std::span<const slip_candidate> all() const { return {all_.data(), count_}; }

    /// A number that is in doubt.
    void of_number(sign_id id) {
        const double value = number(id);
        if (std::isnan(value) || value == 0) {
            return;  // a zero is asked about by itself: it was typed for want of a number
        }
        if (value < 0) {
            add(slip::letter, id, -value);
        }
        add_units(id, value);
        add_swaps(id);
        add_wrong_fields(id);
        add_decimals(id, value);
        if (const auto digits = charted_digits::of(id, value)) {
            add_digits(id, *digits);
        }
    }

    /// A cell that holds no number, by what it holds.
    void of_text(sign_id id, std::string_view text) {
        if (const auto pair = pair_in(text); pair && id == sign_id::systolic) {
            add(slip::two_numbers, id, pair->first).meant(sign_id::diastolic, pair->second);
        } else if (const auto meant = number_behind_letters(text)) {
            add(slip::letter, id, *meant);
        }
    }

private:
    double number(sign_id id) const { return numbers_[index_of(id)]; }
    bool is_empty(sign_id id) const {
        return std::isnan(number(id)) && (carried_ >> index_of(id) & 1U) != 0;
    }

    slip_candidate& add(slip what, sign_id id, double value, float ways = 1) {
        slip_candidate& c = all_[count_ < most ? count_++ : most];
        c = {};
        c.what = what;
        c.ways = ways;
        return c.meant(id, value);
    }

    // Another unit.

    void add_units(sign_id id, double value) {
        switch (id) {
            case sign_id::saturation:
                if (value <= 1) {
                    add(slip::unit, id, std::round(value * 100)).instance = "Fraction as %";
                }
                break;
            case sign_id::temperature:
                add_units(id, value, "°F as °C", "°C as °F");
                break;
            case sign_id::glucose:
                add_units(id, value, "mmol/L as mg/dL", "mg/dL as mmol/L");
                break;
            case sign_id::exhaled_co2:
                add_units(id, value, "kPa as mmHg", "mmHg as kPa");
                break;
            case sign_id::systolic:
            case sign_id::diastolic:
            case sign_id::mean_pressure:
                add_pressures("kPa as mmHg", false);
                add_pressures("mmHg as kPa", true);
                break;
            default:
                break;
        }
    }

    /// A number of the other unit taken for one of the held, or one of the held typed where the
    /// other was asked for, and converted.
    void add_units(sign_id id, double value, std::string_view other_as_held,
                   std::string_view held_as_other) {
        const other_unit other = *other_unit_of(id);
        add(slip::unit, id, on_grid(id, other.held(value))).instance = other_as_held;
        add(slip::unit, id, on_grid(id, other.charted(value)), of_converted(id)).instance =
            held_as_other;
    }

    /// Fields that ask for °F are common; those that ask for kPa or mmol/L are not.
    static float of_converted(sign_id id) { return id == sign_id::temperature ? 1 : 20; }

    // All pressures of a set are of one unit.
    void add_pressures(std::string_view instance, bool inverse) {
        const other_unit other = *other_unit_of(sign_id::systolic);
        slip_candidate* c = nullptr;
        for (const sign_id id : {sign_id::systolic, sign_id::diastolic, sign_id::mean_pressure}) {
            if (!(number(id) > 0)) {
                continue;
            }
            const double meant =
                on_grid(id, inverse ? number(id) / other.factor : number(id) * other.factor);
            c = c == nullptr ? &add(slip::unit, id, meant, inverse ? of_converted(id) : 4)
                             : &c->meant(id, meant);
        }
        if (c != nullptr) {
            c->instance = instance;
        }
    }

    /// As people chart it: temperatures to a tenth, all else whole.
    static double on_grid(sign_id id, double value) {
        return id == sign_id::temperature ? std::round(value * 10) / 10 : std::round(value);
    }

    // Two fields.

    void add_swaps(sign_id id) {
        using enum sign_id;
        static constexpr std::array<std::pair<sign_id, sign_id>, 9> pairs{
            {{systolic, diastolic},
             {pulse, saturation},
             {pulse, respiratory_rate},
             {saturation, respiratory_rate},
             {diastolic, pulse},
             {systolic, pulse},
             {coma_eye, coma_verbal},
             {coma_verbal, coma_motor},
             {coma_eye, coma_motor}}};
        for (const auto& [a, b] : pairs) {
            if ((a == id || b == id) && !std::isnan(number(a)) && !std::isnan(number(b)) &&
                number(a) != number(b)) {
                // Pressures are typed the other way round far more often than unlike fields.
                add(slip::swapped, a, number(b), a == systolic && b == diastolic ? 1 : 3)
                    .meant(b, number(a));
            }
        }
    }

    /// Fields as forms have them in a row: a number belongs to the field before or behind its own,
    /// which is empty.
    void add_wrong_fields(sign_id id) {
        using enum sign_id;
        static constexpr std::array<sign_id, 7> row{
            systolic, diastolic, pulse, respiratory_rate, saturation, glucose, temperature};
        constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
        for (std::size_t i = 0; i + 1 < row.size(); ++i) {
            const bool here_first = row[i] == id && is_empty(row[i + 1]);
            const bool here_second = row[i + 1] == id && is_empty(row[i]);
            if (here_first) {
                add(slip::wrong_field, row[i + 1], number(id), 6).meant(id, nothing);
            } else if (here_second) {
                add(slip::wrong_field, row[i], number(id), 6).meant(id, nothing);
            }
        }
    }

    // A decimal point, a zero.

    void add_decimals(sign_id id, double value) {
        if (is_score(id)) {
            return;
        }
        for (const double factor : {0.1, 10.0, 0.01, 100.0}) {
            const double meant = std::round(value * factor * 100) / 100;
            const bool large = factor > 50 || factor < 0.05;
            add(slip::decimal, id, meant, large ? 40 : 2);
        }
    }

    static bool is_score(sign_id id) {
        return id >= sign_id::coma_eye && id <= sign_id::responsiveness;
    }

    // Digits.

    void add_digits(sign_id id, const charted_digits& typed) {
        if (id == sign_id::responsiveness) {
            return;
        }
        const std::size_t n = typed.count();
        for (std::size_t i = 0; i + 1 < n; ++i) {
            if (typed.at(i) != typed.at(i + 1)) {
                if (i != 0 || typed.at(1) != 0) {  // nobody meant 018
                    add(slip::transposed, id, typed.transposed(i).held(),
                        static_cast<float>(n - 1));
                }
            } else {
                add(slip::doubled, id, typed.without(i).held(), static_cast<float>(n - 1));
            }
        }
        add_dropped(id, typed);
        add_split(id, typed);
    }

    void add_dropped(sign_id id, const charted_digits& typed) {
        const std::size_t n = typed.count();
        if (n > 3) {
            return;
        }
        for (std::size_t i = 0; i <= n; ++i) {
            // The same digit before or behind its like is one number.
            for (int digit = i == 0 ? 1 : 0; digit <= 9; ++digit) {
                if (i == 0 || typed.at(i - 1) != digit) {
                    add(slip::dropped, id, typed.with(i, digit).held(),
                        static_cast<float>(n + 1) * share_of_digit(i == n, digit));
                }
            }
        }
    }

    /// People round: of last digits that are typed by hand a quarter are zeros and the even ones
    /// twice the odd (common practice, no source). One in so many.
    static float share_of_digit(bool last, int digit) {
        return !last ? 10 : digit == 0 ? 4 : digit % 2 == 0 ? 8 : 16;
    }

    /// Both pressures without anything between: 12080.
    void add_split(sign_id id, const charted_digits& typed) {
        const std::size_t n = typed.count();
        if (id != sign_id::systolic || !typed.is_whole() || n < 4) {
            return;
        }
        for (const std::size_t second : {2U, 3U}) {
            const double diastolic = typed.part(n - second, n);
            const double beside = number(sign_id::diastolic);
            if (n - second >= 2 && n - second <= 3 && typed.at(n - second) != 0 &&
                (std::isnan(beside) || beside == diastolic)) {
                add(slip::two_numbers, id, typed.part(0, n - second))
                    .meant(sign_id::diastolic, diastolic);
            }
        }
    }

    set_numbers numbers_ = no_numbers();
    std::uint32_t carried_ = 0;
    std::array<slip_candidate, most + 1> all_{};  // the last is written to when it is full
    std::size_t count_ = 0;
};

}  // namespace vitalproof::inline VITALPROOF_ABI
