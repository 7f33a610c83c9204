// One reading of one vital sign: a value, or the reason there is none, and how it was obtained.
// Used in vital sets. Promises that a reading of one sign cannot be assigned to another, and that
// "below what the meter can read", "refused" and "could not be read" are never mistaken for a
// number or for each other.
#pragma once

#include <vitalproof/signs.hpp>

#include <cmath>
#include <concepts>
#include <cstdint>
#include <limits>
#include <optional>

namespace vitalproof::inline VITALPROOF_ABI {

enum class reading_state : std::uint8_t {
    absent,      ///< no value; the absence says why
    number,      ///< a finite number
    above,       ///< HI, >600: true, beyond the device's span
    below,       ///< LO, <20
    unreadable,  ///< something is charted that is not a value of this sign
};

/// HI or LO.
constexpr bool is_beyond(reading_state state) {
    return (state == reading_state::above) | (state == reading_state::below);
}

/// Why a reading is absent. An absence with a reason is an answer, not a gap.
enum class absence : std::uint8_t {
    not_carried,  ///< the source has no place for this sign
    blank,        ///< a place, and nothing in it: the only absence without a reason
    not_recorded,
    not_applicable,
    refused,
    unable,
    not_present,  ///< exam finding not present
};

/// A reading's state, and for an absence why, in one number: what is less than this is an absence.
inline constexpr std::uint8_t codes_of_states = 16;
constexpr std::uint8_t reading_code(reading_state state, absence why = absence::not_carried) {
    return static_cast<std::uint8_t>(state == reading_state::absent
                                         ? static_cast<unsigned>(why)
                                         : codes_of_states + static_cast<unsigned>(state));
}

/// How a reading was obtained.
enum class method : std::uint8_t {
    unknown,
    felt,          // pulse
    by_oximeter,   // pulse
    by_ecg,        // heart rate
    cuff_machine,  // pressures from here on
    cuff_by_ear,
    palpated,
    doppler,
    arterial,
};

/// A reading of sign S. Default: absent, not carried.
template <VitalSign S>
class reading {
public:
    using value_type = value_of<S>;

    constexpr reading() = default;

    /// A measured value. NaN becomes a blank, an infinity is unreadable: neither is a number, and
    /// "HI" and "LO" have constructors of their own.
    constexpr reading(value_type value,
                      method how = method::unknown)  // NOLINT: a value is a reading
        : value_(value.value()), code_(reading_code(reading_state::number)), method_(how) {
        if (value_ != value_) {
            *this = absent(absence::blank);
        } else if (value_ - value_ != 0) {
            *this = unreadable();
        }
    }

    /// Makes a blank reading one of a number that is known to be finite: what the constructor looks
    /// for and writes anew besides is most of the cost of a cell.
    constexpr void become(value_type finite, method how) {
        value_ = finite.value();
        code_ = reading_code(reading_state::number);
        method_ = how;
    }

    static constexpr reading absent(absence why) {
        reading r;
        r.code_ = reading_code(reading_state::absent, why);
        return r;
    }
    static constexpr reading above() { return stateful(reading_state::above); }
    static constexpr reading below() { return stateful(reading_state::below); }
    static constexpr reading unreadable() { return stateful(reading_state::unreadable); }

    constexpr reading_state state() const {
        return code_ < codes_of_states ? reading_state::absent
                                       : static_cast<reading_state>(code_ - codes_of_states);
    }
    constexpr bool is_number() const { return code_ == reading_code(reading_state::number); }
    /// State and absence in one number, as lanes hold it.
    constexpr std::uint8_t code() const { return code_; }

    /// The value, where there is a number.
    constexpr std::optional<value_type> value() const {
        return is_number() ? std::optional<value_type>(value_type::from_value(value_))
                           : std::nullopt;
    }

    /// The bare number in the held unit; NaN where there is none.
    constexpr double raw() const { return value_; }

    /// Why it is absent; meaningful only in state `absent`.
    constexpr absence why_absent() const {
        return code_ < codes_of_states ? static_cast<absence>(code_) : absence::not_carried;
    }

    constexpr method how() const { return method_; }
    constexpr reading& set_method(method how) {
        method_ = how;
        return *this;
    }

private:
    static constexpr reading stateful(reading_state state) {
        reading r;
        r.code_ = reading_code(state);
        return r;
    }

    // A quantity is not trivially copyable; the bare number in the held unit is.
    double value_ = std::numeric_limits<double>::quiet_NaN();
    std::uint8_t code_ = reading_code(reading_state::absent, absence::not_carried);
    method method_ = method::unknown;
};

/// A reading taken for one of another sign held in the same unit, as a pulse that turns out to be
/// counted by the ECG.
template <VitalSign To, VitalSign From>
requires std::same_as<typename To::unit, typename From::unit>
constexpr reading<To> reading_as(const reading<From>& from) {
    reading<To> r = reading<To>::absent(from.why_absent());
    switch (from.state()) {
        case reading_state::absent:
            break;
        case reading_state::number:
            r = value_of<To>::from_value(from.raw());
            break;
        case reading_state::above:
            r = reading<To>::above();
            break;
        case reading_state::below:
            r = reading<To>::below();
            break;
        case reading_state::unreadable:
            r = reading<To>::unreadable();
            break;
    }
    return r.set_method(from.how());
}

/// The reading for a level of responsiveness.
constexpr reading<sign::responsiveness> responsiveness_reading(responsiveness_level level) {
    return value_of<sign::responsiveness>::from_value(static_cast<double>(level));
}

}  // namespace vitalproof::inline VITALPROOF_ABI
