// A breathing rate is not a pulse, although both are counted a minute.
// expect: reading<.*sign::respiratory_rate>
// expect: reading<.*sign::pulse>
#include <vitalproof/vital_set.hpp>

void copy_within(vitalproof::vital_set& from, vitalproof::vital_set& into) {
    into.pulse = from.pulse;
#ifdef MUST_NOT_COMPILE
    into.pulse = from.respiratory_rate;
#endif
}
