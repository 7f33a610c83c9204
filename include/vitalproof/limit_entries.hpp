// Every figure an agency may set, by name: table, name, unit, source, and where it is held.
// Used by the limits file, by texts that mention a limit, by the reference page. Promises to be
// derived from the tables and the checks: a limit declared there appears here.
#pragma once

#include <vitalproof/catalogue.hpp>
#include <vitalproof/finding.hpp>

#include <string>
#include <string_view>
#include <tuple>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

/// One figure. `table` is a check's code, `usual.SIGN` for the adult reference, or `explain.rates`
/// and `explain.offered` for what was probably meant.
struct limit_entry {
    std::string table;
    std::string name;  ///< within its table: `low`, `high`, `low_when_exposure`, `under`
    std::string_view unit;
    std::string_view source;
    real* value;  ///< in the limits they were listed from
};

namespace detail {

inline std::string joined(std::string_view a, std::string_view b) {
    return std::string(a).append(b);
}

inline void list_bounds(std::vector<limit_entry>& entries, const sign_info& sign,
                        std::string_view family, std::string_view suffix, bounds& range) {
    const std::string table = joined(family, sign.name);
    entries.push_back({table, joined("low", suffix), sign.unit, range.source, &range.low});
    entries.push_back({table, joined("high", suffix), sign.unit, range.source, &range.high});
}

inline void list_sign_limits(std::vector<limit_entry>& entries, sign_limits& signs) {
    for (const auto& sign : sign_table) {
        if (sign.unit.empty()) {
            continue;  // responsiveness: four levels, nothing to set
        }
        const std::size_t at = index_of(sign.id);
        list_bounds(entries, sign, "impossible.", "", signs.possible[at]);
        if (find_check(joined("unlikely.", sign.name))) {
            list_bounds(entries, sign, "unlikely.", "", signs.believable[at]);
        }
        for (std::size_t i = 0; i < believable_exceptions.size(); ++i) {
            if (believable_exceptions[i].sign == sign.id) {
                const auto when =
                    fact_names[static_cast<std::size_t>(believable_exceptions[i].when)];
                list_bounds(entries, sign, "unlikely.", joined("_when_", when),
                            signs.believable_when[i]);
            }
        }
        list_bounds(entries, sign, "usual.", "", signs.usual[at]);
    }
}

inline void list_explaining(std::vector<limit_entry>& entries, explaining_limits& of) {
    constexpr std::string_view rate = "from memory: single slips, a few in ten thousand each";
    constexpr std::string_view chosen =
        "chosen: how sure an explanation must be to help a reviewer";
    for (std::size_t i = 0; i < slip_count; ++i) {
        entries.push_back({"explain.rates", std::string(slip_names[i]), "%", rate, &of.rates[i]});
    }
    const std::string table = "explain.offered";
    entries.push_back({table, "together", "%", chosen, &of.together});
    entries.push_back({table, "each", "%", chosen, &of.each});
    entries.push_back({table, "fair", "%", chosen, &of.fair});
    entries.push_back({table, "strong", "%", chosen, &of.strong});
}

template <class C>
void list_own_limits(std::vector<limit_entry>& entries, limits& in_force) {
    std::apply(
        [&](const auto&... field) {
            (entries.push_back(
                 {std::string(std::string_view(C::info.code)), std::string(field.name),
                  symbol_of<typename std::remove_cvref_t<decltype(in_force.of<C>().*
                                                                  field.member)>::unit_type>,
                  field.source,
                  &boost::units::quantity_cast<real&>(in_force.of<C>().*field.member)}),
             ...);
        },
        C::limits::fields());
}

}  // namespace detail

/// Every figure of `in_force`, to read or to set through `value`. Allocates; not for a hot path.
inline std::vector<limit_entry> list_limits(limits& in_force) {
    std::vector<limit_entry> entries;
    detail::list_sign_limits(entries, in_force.signs);
    detail::list_explaining(entries, in_force.explaining);
    for_each_check(catalogue{}, [&]<class C>() { detail::list_own_limits<C>(entries, in_force); });
    return entries;
}

}  // namespace vitalproof::inline VITALPROOF_ABI
