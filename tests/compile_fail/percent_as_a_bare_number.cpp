// A percentage does not turn into a number without being asked for its value.
// expect: cannot convert|no viable conversion
#include <vitalproof/units.hpp>

double bare(vitalproof::quantity<vitalproof::units::percent> share) {
#ifdef MUST_NOT_COMPILE
    return share;
#else
    return share.value();
#endif
}
