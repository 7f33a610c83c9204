#include "offered_values.hpp"

#include "names.hpp"
#include <vitalproof/examine.hpp>

#include <cmath>
#include <span>

namespace vitalproof::python {

namespace {

/// The sign that a worked-out number is of: `systolic_as_mmhg` names it, `as_celsius` is of the
/// reading the finding points at.
std::optional<sign_id> sign_offered(const finding& f, const evidence_number& n) {
    const std::size_t as = n.name.find("as_");
    if (as == std::string_view::npos) {
        return std::nullopt;
    }
    sign_id sign = f.info().sign;
    for (const sign_info& named : sign_table) {
        if (as != 0 && n.name.substr(0, as - 1) == named.name) {
            sign = named.id;
        }
    }
    return describe(sign).unit == n.unit ? std::optional(sign) : std::nullopt;
}

/// The number to the last digit: a check works with floats, and the conversion it means is the one
/// of the sign's that comes to what it says.
double to_the_digit(sign_id sign, double charted, double said) {
    double nearest = said;
    double least = std::abs(said) * 1e-5;
    for (std::size_t i = 0; i < read::charted_units; ++i) {
        const auto unit = static_cast<read::charted_unit>(i);
        if (!read::is_unit_of(sign, unit) || unit == read::held_unit(sign)) {
            continue;
        }
        for (const double converted :
             {read::to_held(sign, unit, charted), from_held(sign, unit, charted)}) {
            if (std::abs(converted - said) <= least) {
                nearest = converted;
                least = std::abs(converted - said);
            }
        }
    }
    return nearest;
}

void add_offered(const finding& f, std::vector<offered_value>& to) {
    for (const evidence_number& n : f.evidence.numbers()) {
        const auto sign = sign_offered(f, n);
        for (const evidence_reading& r : f.evidence.readings()) {
            if (sign && r.sign == *sign && r.where == evidence_place::here &&
                r.state == reading_state::number) {
                to.push_back({static_cast<std::size_t>(f.line) - 1, f.check, *sign,
                              to_the_digit(*sign, r.value, n.value)});
            }
        }
    }
}

}  // namespace

std::vector<offered_value> offered_values(const table& from, const limits& in_force) {
    std::vector<offered_value> offered;
    const auto take = [&](std::span<const finding> of_set) {
        for (const finding& f : of_set) {
            add_offered(f, offered);
        }
    };
    examiner with(in_force);
    care_report report;
    for (std::size_t number = 0; number < from.report_count(); ++number) {
        from.fill_report(report, number);
        with.add(report, take);
    }
    with.finish(take);
    return offered;
}

}  // namespace vitalproof::python
