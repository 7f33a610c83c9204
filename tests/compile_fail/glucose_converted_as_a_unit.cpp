// Nor does the conversion for units of one dimension reach from amount to mass.
// expect: (mmol_per_l_base|amount_base_dimension)
#include <vitalproof/units.hpp>

vitalproof::quantity<vitalproof::units::mg_per_dl> by_mass(
    vitalproof::quantity<vitalproof::units::mmol_per_l> amount) {
#ifdef MUST_NOT_COMPILE
    return vitalproof::to<vitalproof::units::mg_per_dl>(amount);
#else
    return vitalproof::to_mg_per_dl(amount);
#endif
}
