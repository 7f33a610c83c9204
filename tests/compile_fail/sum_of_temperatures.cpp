// Two points on a scale have no sum.
// expect: operator\+|invalid operands to binary expression
#include <vitalproof/units.hpp>

auto both(vitalproof::quantity<vitalproof::units::celsius> morning,
          vitalproof::quantity<vitalproof::units::celsius> evening) {
#ifdef MUST_NOT_COMPILE
    return morning + evening;
#else
    return evening - morning;
#endif
}
