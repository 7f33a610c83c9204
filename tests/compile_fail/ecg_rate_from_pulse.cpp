// What the ECG counts is not what is felt at the wrist.
// expect: reading<.*sign::pulse>
// expect: reading<.*sign::ecg_rate>
#include <vitalproof/vital_set.hpp>

vitalproof::reading<vitalproof::sign::ecg_rate> counted(const vitalproof::vital_set& set) {
#ifdef MUST_NOT_COMPILE
    return set.pulse;
#else
    return set.ecg_rate;
#endif
}
