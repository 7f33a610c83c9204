// °F into a reading held in °C, unconverted.
// expect: fahrenheit
// expect: sign::temperature
#include <vitalproof/vital_set.hpp>

void chart(vitalproof::vital_set& set) {
#ifdef MUST_NOT_COMPILE
    set.temperature = 98.6 * vitalproof::degF;
#else
    set.temperature = vitalproof::to<vitalproof::units::celsius>(98.6 * vitalproof::degF);
#endif
}
