// 0.98 of one is not 0.98 %.
// expect: fraction_base
// expect: sign::saturation
#include <vitalproof/vital_set.hpp>

void chart(vitalproof::vital_set& set) {
#ifdef MUST_NOT_COMPILE
    set.saturation = 0.98 * vitalproof::fraction;
#else
    set.saturation = vitalproof::to<vitalproof::units::percent>(0.98 * vitalproof::fraction);
#endif
}
