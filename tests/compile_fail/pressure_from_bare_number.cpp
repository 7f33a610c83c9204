// A bare number has no unit: 120 of what?
// expect: (no match for|no viable overloaded) .?operator=|(no match for|no viable overloaded) '='
#include <vitalproof/vital_set.hpp>

void chart(vitalproof::vital_set& set) {
    set.systolic = 120.0 * vitalproof::mmHg;
#ifdef MUST_NOT_COMPILE
    set.systolic = 120.0;
#endif
}
