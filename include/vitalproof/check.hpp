// What a check is: its description, what it needs, its own limits, and one predicate.
// Used by every file in checks/. Promises that a check says everything about itself in one
// struct: the catalogue, the reference page, the limits file, the tests and the fixture folders
// are derived from it.
#pragma once

#include <vitalproof/care_report.hpp>
#include <vitalproof/extremes.hpp>
#include <vitalproof/lanes.hpp>
#include <vitalproof/neighbours.hpp>

#include <algorithm>
#include <array>
#include <concepts>
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <tuple>

namespace vitalproof::inline VITALPROOF_ABI {

/// What a finding asks of the people who read it.
enum class asks : std::uint8_t {
    notice,  ///< worth a reviewer's eye
    query,   ///< unlikely or incomplete: ask the crew
    reject,  ///< cannot stand as charted
};

/// Which question about a reading it answers. The first three words are those of Kahn et al. 2016,
/// eGEMs 4(1):1244.
enum class kind : std::uint8_t {
    conformance,   ///< can it be read as what its column says?
    completeness,  ///< is it there when it must be, or absent with a reason?
    plausibility,  ///< can it be true, by itself and beside the others?
    clinical,      ///< it stands: is it dangerous? Never part of a crew's queue.
};

/// The order in which a reviewer should look: 1 first.
enum class priority : std::uint8_t { first = 1, high = 2, normal = 3, low = 4 };

constexpr std::string_view name_of(asks a) {
    return a == asks::reject ? "reject" : a == asks::query ? "query" : "notice";
}

constexpr std::string_view name_of(kind k) {
    constexpr std::array<std::string_view, 4> names{"conformance", "completeness", "plausibility",
                                                    "clinical"};
    return names[static_cast<std::size_t>(k)];
}

/// What a check says about itself. In `question` and `expected`, `{sign}` stands for a reading's
/// value with its unit, `{limit}` for one of the check's limits by name, `{range}` for low to high,
/// `{label}`, `{unit}` and `{charted}` for the reading the finding points at.
struct check_info {
    std::string_view code;  ///< `family.what`; never renamed, never reused
    std::string_view title;
    vitalproof::asks asks;
    vitalproof::priority priority;
    vitalproof::kind kind;
    sign_id sign;  ///< the reading a finding points at
    std::string_view
        question;  ///< to the crew: what was charted, why it is asked, an open question
    std::string_view expected;
    std::string_view why;  ///< for the reviewer
    std::string_view source;
    std::string_view
        context;  ///< how what is known of the patient changes it; empty if it does not
    /// What a finding is about where that is not one reading: `taken_at`, `readings`. Then the sign
    /// says nothing.
    std::string_view about{};
};

/// What a finding of the check is about, as files name it.
constexpr std::string_view subject_of(const check_info& info) {
    return info.about.empty() ? describe(info.sign).name : info.about;
}

/// One of a check's own limits: its name in the limits file, where it is held, its source.
template <class Limits, class Unit>
struct own_limit {
    std::string_view name;
    quantity<Unit, real> Limits::*member;
    std::string_view source;
};

/// `prefix` followed by the sign's name: the code of a check made once for every sign.
template <VitalSign S, std::size_t N>
struct code_for {
    constexpr explicit code_for(const char (&prefix)[N]) {
        std::copy_n(prefix, N - 1, bytes.begin());
        std::copy(S::info.name.begin(), S::info.name.end(), bytes.begin() + (N - 1));
    }
    constexpr operator std::string_view() const { return {bytes.data(), bytes.size()}; }  // NOLINT
    std::array<char, N - 1 + S::info.name.size()> bytes{};
};

/// For checks without limits of their own.
struct no_limits {
    static constexpr std::tuple<> fields() { return {}; }
};

/// A check of one set. `needs` lists the signs that must be numbers before the predicate is asked;
/// `sees` those it looks at in any state. The predicate is total: on NaN and infinities it answers.
template <class C>
concept SetCheck = requires(const readings& r, const context& c, const typename C::limits& l) {
    { C::info } -> std::convertible_to<check_info>;
    { C::needs::mask } -> std::convertible_to<std::uint32_t>;
    { C::sees::mask } -> std::convertible_to<std::uint32_t>;
    { C::fires(r, c, l) } -> std::same_as<bool>;
    C::limits::fields();
};

/// A check of a set in its neighbourhood: it is given the readings before and after as well, and
/// lists the signs whose neighbours it looks at, for the evidence. Asked only where reports are
/// followed. Its predicate is total too.
template <class C>
concept NeighbourCheck = requires(const readings& r, const neighbours& n, const context& c,
                                  const typename C::limits& l) {
    { C::info } -> std::convertible_to<check_info>;
    { C::needs::mask } -> std::convertible_to<std::uint32_t>;
    { C::sees::mask } -> std::convertible_to<std::uint32_t>;
    { C::follows::mask } -> std::convertible_to<std::uint32_t>;
    { C::fires(r, n, c, l) } -> std::same_as<bool>;
    C::limits::fields();
};

/// A check of a set within its whole report: it is given the call, and the sets around. Asked on
/// the record path alone, of reports whose source tells of their call. It explains itself: there
/// are no lanes to take the evidence from.
template <class C>
concept ReportCheck = requires(const care_report& r, std::size_t set, const typename C::limits& l) {
    { C::info } -> std::convertible_to<check_info>;
    { C::fires_in(r, set, l) } -> std::same_as<bool>;
    C::limits::fields();
};

/// Whether a check of a report has a condition without which its predicate never holds and that it
/// shares with others: `concerns`, a pointer to `bool(const care_report&, std::size_t set)`. Of
/// checks that stand together and point to the same function it is asked once.
template <class C>
concept Concerned = ReportCheck<C> && requires(const care_report& r, std::size_t set) {
    { (*C::concerns)(r, set) } -> std::same_as<bool>;
};

template <class C>
concept Check = SetCheck<C> || NeighbourCheck<C> || ReportCheck<C>;

/// Asks a check of a row; one of a report has nothing to say of it.
template <Check C>
constexpr bool fires(const readings& r, const neighbours& n, const context& c,
                     const typename C::limits& l) {
    if constexpr (ReportCheck<C>) {
        return false;
    } else if constexpr (NeighbourCheck<C>) {
        return C::fires(r, n, c, l);
    } else {
        return C::fires(r, c, l);
    }
}

/// Whether a check may only be asked of a report, not of columns.
template <class C>
inline constexpr bool is_of_report = ReportCheck<C>;

/// Whether a check has bounds: `strays(extremes, limits)` says whether a value lies outside them,
/// and while every value and difference it looks at lies inside the check cannot fire. The kernel
/// asks it of the lowest and of the highest values of some rows, at most 32, so between two values
/// that do not stray none may.
template <class C>
concept Bounded = requires(const extreme_values& v, const typename C::limits& l) {
    { C::strays(v, l) } -> std::same_as<bool>;
};

/// Whether a check's bounds may lie on this difference: one of signs that the check looks at.
/// Others are not worked out for it.
template <class C, class D>
inline constexpr bool may_ask_for = (D::signs::mask & ~(C::needs::mask | C::sees::mask)) == 0;

/// Whether a check of a set in its neighbourhood says how far a reading must lie from one of its
/// neighbours: `moves(farthest_moves, limits)`, and where none of 32 rows moves so far it cannot
/// fire in them.
template <class C>
concept Moving = requires(const farthest_moves& m, const typename C::limits& l) {
    { C::moves(m, l) } -> std::same_as<bool>;
};

/// Whether a check of a set in its neighbourhood has a first look: `suspects(readings, neighbours,
/// context, limits)`, a cheap condition that its predicate begins with. The kernel asks it of all
/// rows at once, and the predicate, which may then be long and with branches, of the few that are
/// left.
template <class C>
concept Suspecting = requires(const readings& r, const neighbours& n, const context& c,
                              const typename C::limits& l) {
    { C::suspects(r, n, c, l) } -> std::same_as<bool>;
};

/// Whether a check has a screen: `screen(readings, context, limits)`, a cheap condition that its
/// predicate begins with, for what bounds cannot say. The kernel asks it first, of a whole block.
template <class C>
concept Screened = requires(const readings& r, const context& c, const typename C::limits& l) {
    { C::screen(r, c, l) } -> std::same_as<bool>;
};

/// Whether a check says of itself that it can fire only where a sign it sees is above, below or
/// unreadable: the kernel then passes over blocks without such a state.
template <class C>
inline constexpr bool fires_on_odd_states_only = requires {
    requires C::odd_states_only;
};

/// The checks of a family, in the order a reader meets them.
template <Check... C>
struct check_list {
    static constexpr std::size_t size = sizeof...(C);
};

template <class... A, class... B>
constexpr check_list<A..., B...> operator+(check_list<A...>, check_list<B...>) {
    return {};
}

/// Calls `f.template operator()<C>()` for every check of the list, in order.
template <class F, class... C>
constexpr void for_each_check(check_list<C...>, F&& f) {
    (f.template operator()<C>(), ...);
}

}  // namespace vitalproof::inline VITALPROOF_ABI
