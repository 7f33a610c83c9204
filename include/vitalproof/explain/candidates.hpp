// Every single slip that could have made a set's numbers what they are.
// Used by the explainer on sets in doubt. Promises a bounded list without allocation, each entry
// with the values it would put back, none of them impossible, and nothing about whether it is
// likely.
#pragma once

#include <vitalproof/explain/charted_digits.hpp>
#include <vitalproof/explain/charted_pair.hpp>
#include <vitalproof/explain/set_numbers.hpp>
#include <vitalproof/explain/slip.hpp>
#include <vitalproof/limits.hpp>

#include <algorithm>
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
    static constexpr std::size_t most = 256;

    /// `carried` are the signs that the report has a field for; `among_fine` says that the numbers
    /// around are finer than people chart them.
    void begin(const set_numbers& numbers, std::uint32_t carried, bool among_fine,
               const sign_limits& ranges) {
        numbers_ = numbers;
        carried_ = carried;
        among_fine_ = among_fine;
        ranges_ = &ranges;
        listed_ = 0;
        count_ = 0;
    }

    std::span<const slip_candidate> all() const { return {all_.data(), count_}; }

    /// A number that is in doubt.
    void of_number(sign_id id) {
        const double value = number(id);
        if (std::isnan(value) || value == 0) {
            return;  // a zero is asked about by itself: it was typed for want of a number
        }
        const std::size_t before = count_;
        if (value < 0) {
            add(slip::letter, id, -value);
        }
        add_units(id, value);
        add_swaps(id);
        add_wrong_fields(id);
        add_decimals(id, value);
        drop_impossible(before);
        if (const auto digits = charted_digits::of(id, value)) {
            add_digits(id, *digits);
        }
        listed_ |= detail::bits_of(id);
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
    /// Of numbers finer than people chart them, one in so many is typed.
    static constexpr float of_odd = 100;
    static constexpr std::uint32_t pressures =
        detail::bits_of(sign_id::systolic, sign_id::diastolic, sign_id::mean_pressure);

    double number(sign_id id) const { return numbers_[index_of(id)]; }
    bool is_empty(sign_id id) const {
        return std::isnan(number(id)) && (carried_ >> index_of(id) & 1U) != 0;
    }

    slip_candidate& add(slip what, sign_id id, double value, float ways = 1) {
        slip_candidate& c = all_[count_ < most ? count_++ : most];
        c.what = what;
        c.ways = ways;
        c.instance = {};
        c.signs = 0;
        c.count = 0;
        return c.meant(id, value);
    }

    /// Of one sign and its digits, of which most could not be measured. A hand types whole numbers,
    /// and tenths of degrees, also where a device's are finer.
    void add_if_possible(slip what, sign_id id, double value, float ways) {
        if (is_possible(id, value)) {
            const double steps = id == sign_id::temperature ? 10 * value : value;
            const bool odd = std::abs(steps - nearest_whole(steps)) > 1e-6;
            add(what, id, value, odd && among_fine_ ? ways * of_odd : ways);
        }
    }

    /// A field left empty is not impossible.
    bool is_possible(sign_id id, double value) const {
        return !is_beyond(ranges_->possible[index_of(id)], to_real(value));
    }

    bool is_too_high(sign_id id, double value) const {
        return to_real(value) > ranges_->possible[index_of(id)].high;
    }

    void drop_impossible(std::size_t from) {
        const auto vain = [this](const slip_candidate& c) {
            return !std::ranges::all_of(std::span(c.values).first(c.count), [&](meant_value v) {
                return is_possible(v.sign, v.value);
            });
        };
        const auto end = all_.begin() + static_cast<std::ptrdiff_t>(count_);
        const auto begin = all_.begin() + static_cast<std::ptrdiff_t>(from);
        count_ = static_cast<std::size_t>(std::remove_if(begin, end, vain) - all_.begin());
    }

    // Another unit.

    void add_units(sign_id id, double value) {
        switch (id) {
            case sign_id::saturation:
                if (value <= 1) {
                    add(slip::unit, id, nearest_whole(value * 100)).instance = "Fraction as %";
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
                if ((listed_ & pressures) == 0) {
                    add_pressures("kPa as mmHg", false);
                    add_pressures("mmHg as kPa", true);
                }
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
        const double typed = on_grid(id, other.charted(value));
        if (converts_to(other.held(typed), value)) {
            add(slip::unit, id, typed, of_converted(id)).instance = held_as_other;
        }
    }

    /// Whether what somebody typed, converted, gives the number that is charted, to the decimals
    /// that this one has: no tenth of a degree gives 3.88.
    static bool converts_to(double converted, double charted) {
        constexpr double half_a_step = 0.5;
        for (const double steps : {1.0, 10.0, 100.0}) {
            const double in_steps = charted * steps;
            if (std::abs(in_steps - nearest_whole(in_steps)) < 1e-6 * steps) {
                return std::abs(converted * steps - in_steps) <= half_a_step + 1e-6;
            }
        }
        return true;
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
        return id == sign_id::temperature ? nearest_whole(value * 10) / 10 : nearest_whole(value);
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
            const bool anew = (a == id || b == id) && (listed_ & (detail::bits_of(a, b))) == 0;
            if (anew && !std::isnan(number(a)) && !std::isnan(number(b)) &&
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
            const double meant = nearest_whole(value * factor * 100) / 100;
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
        const auto between = static_cast<float>(n - 1);
        for (std::size_t i = 0; i + 1 < n; ++i) {
            if (typed.at(i) == typed.at(i + 1)) {
                add_if_possible(slip::doubled, id, typed.without(i), between);
            } else if (i != 0 || typed.at(1) != 0) {  // nobody meant 018
                add_if_possible(slip::transposed, id, typed.transposed(i), between);
            }
        }
        // 018 typed for 108 reads as 18.
        add_if_possible(slip::transposed, id, typed.with(1, 0), static_cast<float>(n));
        add_dropped(id, typed);
        add_mistyped(id, typed);
        add_surplus(id, typed);
        add_split(id, typed);
    }

    void add_dropped(sign_id id, const charted_digits& typed) {
        const std::size_t n = typed.count();
        if (n > 3 || is_too_high(id, typed.least_with_another())) {
            return;
        }
        for (std::size_t i = 0; i <= n; ++i) {
            // The same digit before or behind its like is one number, told before it.
            for (int digit = i == 0 ? 1 : 0; digit <= 9; ++digit) {
                const double meant = typed.with(i, digit);
                if (is_too_high(id, meant)) {
                    break;  // more so with a greater digit
                }
                if ((i == 0 || typed.at(i - 1) != digit) && !is_odd_end(id, typed, i, digit)) {
                    const float ways = static_cast<float>(n + 1) / like(typed, i, digit);
                    add_if_possible(slip::dropped, id, meant,
                                    i == n ? ways * rarity_of_end(typed, digit) : ways);
                }
            }
        }
    }

    /// How many of equal digits in a row may be the one that was left out.
    static float like(const charted_digits& typed, std::size_t i, int digit) {
        float many = 1;
        for (; i < typed.count() && typed.at(i) == digit; ++i) {
            ++many;
        }
        return many;
    }

    /// Nobody types 144.0, but where tenths are usual.
    static bool is_odd_end(sign_id id, const charted_digits& typed, std::size_t i, int digit) {
        return i == typed.count() && digit == 0 && !typed.is_whole() && id != sign_id::temperature;
    }

    /// How much rarer another last digit is than the one that is charted. People round: of those
    /// typed by hand a quarter are zeros and the even ones twice the odd (common practice, no
    /// source).
    static float rarity_of_end(const charted_digits& typed, int digit) {
        const auto share = [](int d) { return d == 0 ? 4.0F : d % 2 == 0 ? 2.0F : 1.0F; };
        return share(typed.at(typed.count() - 1)) / share(digit);
    }

    /// But for the last digit: one wrong there is no more than the noise of measuring.
    void add_mistyped(sign_id id, const charted_digits& typed) {
        const std::size_t n = typed.count();
        const float ways = 9 * static_cast<float>(n);
        for (std::size_t i = 0; i + 1 < n && n <= 4; ++i) {
            for (int digit = i == 0 ? 1 : 0; digit <= 9; ++digit) {
                const double meant = typed.mistyped(i, digit);
                if (is_too_high(id, meant)) {
                    break;
                }
                if (digit != typed.at(i)) {
                    add_if_possible(slip::mistyped, id, meant, ways);
                }
            }
        }
    }

    /// Any digit at any place. One like its neighbour was typed twice.
    void add_surplus(sign_id id, const charted_digits& typed) {
        const std::size_t n = typed.count();
        const float ways = 9 * static_cast<float>(n);
        for (std::size_t i = 0; i < n && n > 1; ++i) {
            const bool doubled = i + 1 < n && typed.at(i) == typed.at(i + 1);
            const bool leaves_zero = i == 0 && typed.at(1) == 0;  // nobody meant 08
            if (!doubled && !leaves_zero) {
                add_if_possible(slip::surplus, id, typed.without(i), ways);
            }
        }
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
    std::uint32_t listed_ = 0;  // the signs whose numbers were looked at
    bool among_fine_ = false;
    const sign_limits* ranges_ = nullptr;         // of the set at hand
    std::array<slip_candidate, most + 1> all_{};  // the last is written to when it is full
    std::size_t count_ = 0;
};

}  // namespace vitalproof::inline VITALPROOF_ABI
