// mg/dL from mmol/L takes the molar mass: 18.0156, not a change of prefix.
// expect: mmol_per_l_base
// expect: sign::glucose
#include <vitalproof/vital_set.hpp>

void chart(vitalproof::vital_set& set, vitalproof::quantity<vitalproof::units::mmol_per_l> amount) {
#ifdef MUST_NOT_COMPILE
    set.glucose = amount;
#else
    set.glucose = vitalproof::to_mg_per_dl(amount);
#endif
}
