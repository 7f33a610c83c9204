#include "branches.hpp"

#include <cmath>
#include <limits>

namespace bench {

namespace {

using namespace vitalproof;

struct row_of_signs {
    std::array<real, sign_count> values;
    std::array<lane_int, sign_count> states;
    std::uint32_t numbers = 0;
};

row_of_signs take_row(const sign_columns& columns, std::size_t row) {
    row_of_signs taken;
    for (std::size_t sign = 0; sign < sign_count; ++sign) {
        const double value = columns[sign][row];
        if (std::isnan(value)) {
            taken.values[sign] = std::numeric_limits<real>::quiet_NaN();
            taken.states[sign] = state_lane(reading_state::absent, absence::blank);
        } else {
            taken.values[sign] = to_real(value);
            taken.states[sign] = state_lane(reading_state::number);
            taken.numbers |= 1U << sign;
        }
    }
    return taken;
}

template <class C>
void ask(const row_of_signs& taken, const context& known, const limits& in_force, std::size_t check,
         counts_by_check& counts) {
    if constexpr (SetCheck<C>) {  // the columns do not say which rows are neighbours, or of a call
        if ((taken.numbers & C::needs::mask) != C::needs::mask || !in_force.is_on(check)) {
            return;
        }
        const readings seen(taken.values.data(), taken.states.data(), 1);
        if (C::fires(seen, known, in_force.of<C>())) {
            ++counts[check];
        }
    }
}

template <class... C>
void ask_all(check_list<C...>, const row_of_signs& taken, const context& known,
             const limits& in_force, counts_by_check& counts) {
    std::size_t check = 0;
    (ask<C>(taken, known, in_force, check++, counts), ...);
}

}  // namespace

counts_by_check count_with_branches(const sign_columns& columns, std::size_t rows,
                                    const limits& in_force) {
    counts_by_check counts{};
    const age_limit_values no_ages = no_age_limits();
    const context unknown(0, 0, no_ages.data(), 1, in_force.signs);
    for (std::size_t row = 0; row < rows; ++row) {
        ask_all(catalogue{}, take_row(columns, row), unknown, in_force, counts);
    }
    return counts;
}

}  // namespace bench
