// A check's limit cannot be set in another unit than its own.
// expect: kilopascal|scale<10|si_system|homogeneous_system|no match for .operator=
#include <vitalproof/catalogue.hpp>

void set(vitalproof::limits& in_force) {
    using vitalproof::real;
#ifdef MUST_NOT_COMPILE
    in_force.of<vitalproof::checks::pressure_narrow>().under = real{1} * vitalproof::kPa;
#else
    in_force.of<vitalproof::checks::pressure_narrow>().under = real{10} * vitalproof::mmHg;
#endif
}
