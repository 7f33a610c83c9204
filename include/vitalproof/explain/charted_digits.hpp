// A number as the digits that a hand typed, in the unit it was charted in.
// Used to undo slips of single digits. Promises to give back what it was made from, and nothing
// where a number does not lie on the grid of any unit its sign is charted in.
#pragma once

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
    int at(std::size_t i) const { return digits_[i]; }
    bool is_whole() const { return decimals_ == 0; }

    double held() const {
        double number = 0;
        for (std::size_t i = 0; i < count_; ++i) {
            number = 10 * number + digits_[i];
        }
        return unit_.held(number / power(decimals_));
    }

    charted_digits without(std::size_t i) const {
        charted_digits d = *this;
        for (std::size_t j = i; j + 1 < count_; ++j) {
            d.digits_[j] = digits_[j + 1];
        }
        --d.count_;
        return d;
    }
    charted_digits with(std::size_t i, int digit) const {
        charted_digits d = *this;
        for (std::size_t j = count_; j > i; --j) {
            d.digits_[j] = digits_[j - 1];
        }
        d.digits_[i] = digit;
        ++d.count_;
        return d;
    }
    charted_digits transposed(std::size_t i) const {
        charted_digits d = *this;
        d.digits_[i] = digits_[i + 1];
        d.digits_[i + 1] = digits_[i];
        return d;
    }
    /// The number of the digits from `first` to before `end`, where they are whole.
    double part(std::size_t first, std::size_t end) const {
        double number = 0;
        for (std::size_t i = first; i < end; ++i) {
            number = 10 * number + digits_[i];
        }
        return number;
    }

private:
    static std::optional<charted_digits> on_grid(double charted, std::size_t decimals,
                                                 other_unit unit) {
        const double steps = charted * power(decimals);
        const double nearest = std::round(steps);
        constexpr double small = 1e-6;  // beside what rounding to float leaves
        if (!(nearest >= 1 && nearest < 1e6 && std::abs(steps - nearest) <= small * nearest)) {
            return std::nullopt;
        }
        charted_digits d;
        d.unit_ = unit;
        d.decimals_ = decimals;
        std::array<int, most> backwards{};
        for (auto left = static_cast<long>(nearest); left != 0; left /= 10) {
            backwards[d.count_++] = static_cast<int>(left % 10);
        }
        for (std::size_t i = 0; i < d.count_; ++i) {
            d.digits_[i] = backwards[d.count_ - 1 - i];
        }
        return d;
    }

    static double power(std::size_t decimals) {
        constexpr std::array<double, 3> powers{1, 10, 100};
        return powers[decimals];
    }

    std::array<int, most> digits_{};
    std::size_t count_ = 0;
    std::size_t decimals_ = 0;
    other_unit unit_{};
};

}  // namespace vitalproof::inline VITALPROOF_ABI
