// A diastolic pressure is not a systolic one, although both are in mmHg.
// expect: reading<.*sign::diastolic>
// expect: reading<.*sign::systolic>
#include <vitalproof/vital_set.hpp>

void copy_within(vitalproof::vital_set& from, vitalproof::vital_set& into) {
    into.systolic = from.systolic;
#ifdef MUST_NOT_COMPILE
    into.systolic = from.diastolic;
#endif
}
