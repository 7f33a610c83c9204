// Writes the library's tables as lines of tab-separated words, for a comparison with published
// ones: `possible|believable SIGN UNIT LOW HIGH`, and for children
// `centiles FROM_MONTHS PULSE_1 PULSE_50 PULSE_99 BREATHING_1 BREATHING_50 BREATHING_99`.
#include <vitalproof/age_limits.hpp>
#include <vitalproof/limits.hpp>

#include <array>
#include <iostream>

namespace {

using namespace vitalproof;

void write(const char* table, const std::array<bounds, sign_count>& ranges) {
    for (const sign_info& sign : sign_table) {
        const bounds& range = ranges[index_of(sign.id)];
        std::cout << table << '\t' << sign.name << '\t' << sign.ucum << '\t' << range.low << '\t'
                  << range.high << '\n';
    }
}

}  // namespace

int main() {
    const sign_limits limits;
    write("possible", limits.possible);
    write("believable", limits.believable);
    for (const auto& band : centiles_of_well_children) {
        std::cout << "centiles\t" << band.from_months;
        for (const auto& centiles : {band.pulse, band.breathing}) {
            for (const real centile : centiles) {
                std::cout << '\t' << centile;
            }
        }
        std::cout << '\n';
    }
    return 0;
}
