// What the kernel is given of a table.
#include "table.hpp"

namespace vitalproof::python {

strided_values table::views::in_order(strided_values values) {
    if (order_->empty()) {
        return values;
    }
    std::vector<double>& copy = numbers_.emplace_back();
    copy.reserve(order_->size());
    for (const std::size_t row : *order_) {
        copy.push_back(values[row]);
    }
    return copy;
}

template <class T>
std::span<const T> table::views::in_order(const std::vector<T>& values) {
    if (order_->empty()) {
        return values;
    }
    auto copy = std::make_shared<std::vector<T>>();
    copy->reserve(order_->size());
    for (const std::size_t row : *order_) {
        copy->push_back(values[row]);
    }
    others_.push_back(copy);
    return *copy;
}

template <VitalSign S>
void table::views::add_numbers(strided_values values, read::charted_unit unit) {
    using unit_of_sign = typename S::unit;
    if (unit == read::held_unit(S::info.id)) {
        columns_.add<S>(values, unit_of_sign{});
        return;
    }
    if constexpr (std::same_as<unit_of_sign, units::mmhg>) {
        columns_.add<S>(values, kPa);
    } else if constexpr (std::same_as<unit_of_sign, units::percent>) {
        columns_.add<S>(values, fraction);
    } else if constexpr (std::same_as<unit_of_sign, units::mg_per_dl>) {
        columns_.add<S>(values, mmol_per_L);
    } else if constexpr (std::same_as<unit_of_sign, units::celsius>) {
        columns_.add<S>(values, degF);
    }
}

template <VitalSign S>
void table::views::add_sign(const table& of) {
    const std::size_t at = index_of(S::info.id);
    const sign_input& input = of.signs_[at];
    if (const auto& derived = of.derived_[at]) {
        columns_.add<S>(in_order(strided_values(derived->values)), typename S::unit{},
                        in_order(derived->states), in_order(derived->reasons));
    } else if (input.numbers) {
        add_numbers<S>(in_order(input.numbers->values()), input.rules.unit);
    }
}

table::views::views(const table& of)
    : order_(&of.order_), columns_(of.order_.empty() ? of.rows_ : of.order_.size()) {
    numbers_.reserve(sign_count + 1);
    for_each_sign(all_signs{}, [&]<VitalSign S>(S) { add_sign<S>(of); });
    if (!of.known_.empty()) {
        columns_.add_known(in_order(of.known_));
    }
    if (!of.ages_.empty()) {
        columns_.add_ages(in_order(strided_values(of.ages_)));
    }
    if (of.has_reports()) {
        columns_.add_reports(in_order(of.report_of_));
        if (!of.seconds_.empty()) {
            columns_.add_times(in_order(of.seconds_));
        }
    }
}

}  // namespace vitalproof::python
