// mmHg and kPa do not meet unconverted.
// expect: (no match for .operator<|invalid operands to binary expression)
#include <vitalproof/units.hpp>

bool below(vitalproof::quantity<vitalproof::units::mmhg> pressure,
           vitalproof::quantity<vitalproof::units::kilopascal> limit) {
#ifdef MUST_NOT_COMPILE
    return pressure < limit;
#else
    return pressure < vitalproof::to<vitalproof::units::mmhg>(limit);
#endif
}
