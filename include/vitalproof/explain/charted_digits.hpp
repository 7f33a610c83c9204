// A number as the digits that a hand typed, in the unit it was charted in.
// Used to undo slips of single digits. Promises to give back what it was made from, and nothing
// where a number does not lie on the grid of any unit its sign is charted in.
#pragma once

#include <vitalproof/explain/set_numbers.hpp>
#include <vitalproof/signs.hpp>

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>

namespace vitalproof::inline VITALPROOF_ABI {

/// A unit a sign is charted in beside the one it is held in: held = (charted - shift) * factor.
struct other_unit {
    double factor = 1;
    double shift = 0;

    constexpr double held(double charted) const { return (charted - shift) * factor; }
    constexpr double charted(double held) const { return held / factor + shift; }
};

/// °F, kPa, mmol/L; none where a sign is charted in one unit only.
constexpr std::optional<other_unit> other_unit_of(sign_id id) {
    switch (id) {
        case sign_id::systolic:
        case sign_id::diastolic:
        case sign_id::mean_pressure:
        case sign_id::exhaled_co2:
            return other_unit{to<units::mmhg>(1.0 * kPa).value(), 0};
        case sign_id::glucose:
            return other_unit{to_mg_per_dl(1.0 * mmol_per_L).value(), 0};
        case sign_id::temperature:
            return other_unit{1 / 1.8, 32};
        default:
            return std::nullopt;
    }
}

class charted_digits {
public:
    static constexpr std::size_t most = 7;

    /// The digits of a number above zero in the first unit in whose grid it lies: whole, tenths,
    /// hundredths of the held unit, then tenths of the other.
    static std::optional<charted_digits> of(sign_id id, double held) {
        for (std::size_t decimals = 0; decimals <= 2; ++decimals) {
            if (const auto found = on_grid(held, decimals, {})) {
                return found;
            }
        }
        const auto other = other_unit_of(id);
        return other ? on_grid(other->charted(held), 1, *other) : std::nullopt;
    }

    std::size_t count() const { return count_; }
    /// From the left.
    int at(std::size_t i) const { return static_cast<int>(number_ / place(i) % 10); }
    bool is_whole() const { return decimals_ == 0; }

    double held() const { return held(number_); }

    // The number as held with its digits changed.

    double without(std::size_t i) const { return held(in_front(i) * place(i) + behind(i)); }
    double with(std::size_t i, int digit) const {
        const long room = i == count_ ? 1 : 10 * place(i);
        const long front = i == count_ ? number_ : in_front(i);
        const long rest = i == count_ ? 0 : number_ % (10 * place(i));
        return held((front * 10 + digit) * room + rest);
    }
    /// No number with a digit more is lower.
    double least_with_another() const { return held(powers[count_]); }
    double transposed(std::size_t i) const {
        return held(number_ + 9L * place(i + 1) * (at(i + 1) - at(i)));
    }
    double mistyped(std::size_t i, int digit) const {
        return held(number_ + place(i) * (digit - at(i)));
    }
    /// The number of the digits from `first` to before `end`, where they are whole.
    double part(std::size_t first, std::size_t end) const {
        const long up_to_end = end == count_ ? number_ : in_front(end);
        return static_cast<double>(up_to_end % powers[end - first]);
    }

private:
    static constexpr std::array<long, most + 1> powers{1,      10,      100,       1000,
                                                       10'000, 100'000, 1'000'000, 10'000'000};

    static std::optional<charted_digits> on_grid(double charted, std::size_t decimals,
                                                 other_unit unit) {
        const double steps = charted * static_cast<double>(powers[decimals]);
        const double nearest = nearest_whole(steps);
        constexpr double small = 1e-6;  // beside what rounding to float leaves
        if (!(nearest >= 1 && nearest < 1e6 && std::abs(steps - nearest) <= small * nearest)) {
            return std::nullopt;
        }
        charted_digits d;
        d.unit_ = unit;
        d.decimals_ = decimals;
        d.number_ = static_cast<long>(nearest);
        while (powers[d.count_] <= d.number_) {
            ++d.count_;
        }
        return d;
    }

    double held(long number) const {
        return unit_.held(static_cast<double>(number) / static_cast<double>(powers[decimals_]));
    }
    /// What digit i counts.
    long place(std::size_t i) const { return powers[count_ - 1 - i]; }
    long in_front(std::size_t i) const { return number_ / place(i) / 10; }
    long behind(std::size_t i) const { return number_ % place(i); }

    long number_ = 0;  // of all digits, without a point
    std::size_t count_ = 0;
    std::size_t decimals_ = 0;
    other_unit unit_{};
};

}  // namespace vitalproof::inline VITALPROOF_ABI
