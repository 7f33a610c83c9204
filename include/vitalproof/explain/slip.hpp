// Single slips of the hand, how often they happen, and a charted value explained by one.
// Held by findings, set by a limits file, worked out by an explainer. Promises a guess for the
// reviewer with its strength, never an edit: what was charted stays beside it.
#pragma once

#include <vitalproof/signs.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>
#include <tuple>

namespace vitalproof::inline VITALPROOF_ABI {

/// What a hand does to a number.
enum class slip : std::uint8_t {
    swapped,      ///< two fields, each with the other's value
    unit,         ///< the number of another unit, a fraction for percent among them
    decimal,      ///< a decimal point or a zero too many or too few
    dropped,      ///< a digit left out
    doubled,      ///< a digit typed twice
    transposed,   ///< two neighbouring digits the other way round
    two_numbers,  ///< two readings in one cell
    wrong_field,  ///< one field too far
    letter,       ///< a letter or a dash for or beside a digit
    mistyped,     ///< another digit, whichever
    surplus,      ///< a digit among the others that does not belong
};
inline constexpr std::size_t slip_count = 11;

/// In files and limits.
inline constexpr std::array<std::string_view, slip_count> slip_names{
    "swapped",     "unit",        "decimal", "dropped",  "doubled", "transposed",
    "two_numbers", "wrong_field", "letter",  "mistyped", "surplus"};

constexpr std::string_view name_of(slip s) { return slip_names[static_cast<std::size_t>(s)]; }

/// What an agency may set of explanations, in percent.
struct explaining_limits {
    /// Of a hundred chances to make it, how often a slip is made: one a set for `swapped`, `unit`,
    /// `two_numbers` and `wrong_field`, one a reading for the others. Kept the same where nothing
    /// is known of one being commoner.
    std::array<real, slip_count> rates{real{0.1F},  real{0.1F},  real{0.05F}, real{0.05F},
                                       real{0.05F}, real{0.05F}, real{0.05F}, real{0.05F},
                                       real{0.05F}, real{0.05F}, real{0.05F}};
    /// Slips are offered where one of them is at least so probable, all together; and a reading
    /// that passes every limit is noticed where, by its neighbours and by people, one of its digits
    /// is. Two thirds: twice as likely as that the value is true.
    real together = 67;
    /// Each that is offered, at least.
    real each = 5;
    /// From here on the strength is said to be "fair", and "strong".
    real fair = 30;
    real strong = 80;
    static constexpr std::tuple<> fields() { return {}; }  // listed once, in tables of their own
};

enum class strength : std::uint8_t { slight, fair, strong };

constexpr std::string_view name_of(strength s) {
    constexpr std::array<std::string_view, 3> names{"slight", "fair", "strong"};
    return names[static_cast<std::size_t>(s)];
}

/// Why an explanation is offered.
enum class fit : std::uint8_t {
    before,      ///< near the reading before, of every value it names
    after,       ///< near the reading after
    mean,        ///< systolic, diastolic and mean go together
    rate,        ///< pulse and ECG rate agree
    coma_score,  ///< the parts make the total
    usual,       ///< every value it names is usual in an adult
};
inline constexpr std::size_t fit_count = 6;

/// What a reading may have been meant to be; NaN where the field was meant to stay empty.
struct meant_value {
    sign_id sign;
    double value;
};

struct explanation {
    static constexpr std::size_t most_values = 4;

    slip what = slip::swapped;
    strength how = strength::slight;
    std::uint8_t count = 0;
    std::uint8_t fits = 0;        ///< bits by fit
    float probability = 0;        ///< of this slip beside the others, no mistake, and any other
    std::string_view instance{};  ///< which one of its kind, as `°F as °C`; empty as a rule
    std::array<meant_value, most_values> values{};

    constexpr std::span<const meant_value> meant() const { return {values.data(), count}; }
    constexpr bool is(fit f) const { return (fits >> static_cast<unsigned>(f) & 1U) != 0; }
};

/// At most three, the most probable first.
class explanations {
public:
    static constexpr std::size_t most = 3;

    constexpr void add(const explanation& e) { all_[count_++] = e; }
    constexpr bool full() const { return count_ == most; }
    constexpr bool empty() const { return count_ == 0; }
    constexpr std::span<const explanation> all() const { return {all_.data(), count_}; }

private:
    std::array<explanation, most> all_{};
    std::size_t count_ = 0;
};

}  // namespace vitalproof::inline VITALPROOF_ABI
