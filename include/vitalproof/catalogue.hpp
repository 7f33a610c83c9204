// The catalogue: every check, in the order a reader meets them, and the limits in force.
// Used by both runners, the program, the reference page and the tests. Promises to join the
// families and nothing else: a check is described, limited and decided in its own file.
#pragma once

#include <vitalproof/batch_checks.hpp>
#include <vitalproof/checks/after.hpp>
#include <vitalproof/checks/arrest.hpp>
#include <vitalproof/checks/change.hpp>
#include <vitalproof/checks/clinical.hpp>
#include <vitalproof/checks/clinical_patient.hpp>
#include <vitalproof/checks/clock.hpp>
#include <vitalproof/checks/clock_shift.hpp>
#include <vitalproof/checks/coma.hpp>
#include <vitalproof/checks/contradiction.hpp>
#include <vitalproof/checks/ending.hpp>
#include <vitalproof/checks/gap.hpp>
#include <vitalproof/checks/holds.hpp>
#include <vitalproof/checks/impossible.hpp>
#include <vitalproof/checks/meter.hpp>
#include <vitalproof/checks/pressure.hpp>
#include <vitalproof/checks/rate.hpp>
#include <vitalproof/checks/repeated.hpp>
#include <vitalproof/checks/slip.hpp>
#include <vitalproof/checks/standard.hpp>
#include <vitalproof/checks/swapped.hpp>
#include <vitalproof/checks/tube.hpp>
#include <vitalproof/checks/unit.hpp>
#include <vitalproof/checks/unlikely.hpp>
#include <vitalproof/checks/unreadable.hpp>
#include <vitalproof/checks/zero.hpp>
#include <vitalproof/explain/slip.hpp>

#include <array>
#include <bitset>
#include <concepts>
#include <cstddef>
#include <optional>
#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {

using catalogue =
    decltype(checks::impossible_family{} + checks::unlikely_family{} + checks::unreadable_family{} +
             checks::zero_family{} + checks::pressure_family{} + checks::rate_family{} +
             checks::contradiction_family{} + checks::coma_family{} + checks::unit_family{} +
             checks::swapped_family{} + checks::meter_family{} + checks::tube_family{} +
             checks::arrest_family{} + checks::ending_family{} + checks::standard_family{} +
             checks::clock_family{} + checks::clock_shift_family{} + checks::gap_family{} +
             checks::after_family{} + checks::holds_family{} + checks::repeated_family{} +
             checks::change_family{} + checks::slip_family{} + checks::clinical_family{} +
             checks::clinical_patient_family{});

inline constexpr std::size_t check_count = catalogue::size;

namespace detail {

template <class... C>
constexpr std::array<check_info, sizeof...(C)> infos_of(check_list<C...>) {
    return {check_info(C::info)...};
}

/// Whether a check has no limits of its own but goes by what is set of explanations.
template <class C>
inline constexpr bool limits_are_explaining = std::same_as<typename C::limits, explaining_limits>;

/// One base class a check: found by its type, whatever the order.
template <class C>
struct limits_holder {
    typename C::limits value{};
};
template <class C>
requires limits_are_explaining<C>
struct limits_holder<C> {
};

template <class List>
struct own_limits;
template <class... C>
struct own_limits<check_list<C...>> : limits_holder<C>... {};

}  // namespace detail

/// Every check's description, indexed by its place in the catalogue.
inline constexpr auto check_table = detail::infos_of(catalogue{});

/// A check's place in the catalogue, by its code.
constexpr std::optional<std::size_t> find_check(std::string_view code) {
    for (std::size_t i = 0; i < check_count; ++i) {
        if (check_table[i].code == code) {
            return i;
        }
    }
    return std::nullopt;
}

/// Everything an agency may set: the tables for single readings, each check's own limits, what is
/// explained, and which checks are on. Default-constructed, it holds the defaults and every check
/// is on.
class limits {
public:
    sign_limits signs{};
    explaining_limits explaining{};

    /// The own limits of check C, to read or to set.
    template <class C>
    constexpr const typename C::limits& of() const {
        if constexpr (detail::limits_are_explaining<C>) {
            return explaining;
        } else {
            return static_cast<const detail::limits_holder<C>&>(own_).value;
        }
    }
    template <class C>
    constexpr typename C::limits& of() {
        if constexpr (detail::limits_are_explaining<C>) {
            return explaining;
        } else {
            return static_cast<detail::limits_holder<C>&>(own_).value;
        }
    }

    bool is_on(std::size_t check) const { return !off_[check]; }
    void turn(std::size_t check, bool on) { off_[check] = !on; }
    bool is_on(batch_check check) const { return !batch_off_[index_of(check)]; }
    void turn(batch_check check, bool on) { batch_off_[index_of(check)] = !on; }

    /// Turns off every check of a kind; `--without clinical` is this.
    void turn_off(kind k) {
        for (std::size_t i = 0; i < check_count; ++i) {
            if (check_table[i].kind == k) {
                off_.set(i);
            }
        }
        for (std::size_t i = 0; i < batch_check_count; ++i) {
            if (batch_check_table[i].kind == k) {
                batch_off_.set(i);
            }
        }
    }

private:
    detail::own_limits<catalogue> own_{};
    std::bitset<check_count> off_{};
    std::bitset<batch_check_count> batch_off_{};
};

}  // namespace vitalproof::inline VITALPROOF_ABI
