// Nor mmHg and pascal, the SI unit of the same dimension.
// expect: (no match for .operator<|invalid operands to binary expression)
#include <vitalproof/units.hpp>

bool below(vitalproof::quantity<vitalproof::units::mmhg> pressure,
           vitalproof::quantity<boost::units::si::pressure> limit) {
#ifdef MUST_NOT_COMPILE
    return pressure < limit;
#else
    return pressure < vitalproof::to<vitalproof::units::mmhg>(limit);
#endif
}
