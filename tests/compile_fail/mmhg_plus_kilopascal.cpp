// Two units of one dimension have no sum unconverted.
// expect: operator\+|'\+'
#include <vitalproof/units.hpp>

vitalproof::quantity<vitalproof::units::mmhg> sum(
    vitalproof::quantity<vitalproof::units::mmhg> pressure,
    vitalproof::quantity<vitalproof::units::kilopascal> more) {
#ifdef MUST_NOT_COMPILE
    return pressure + more;
#else
    return pressure + vitalproof::to<vitalproof::units::mmhg>(more);
#endif
}
