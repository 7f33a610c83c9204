// Only a sign's tag makes a reading.
// expect: VitalSign
#include <vitalproof/reading.hpp>

struct height {};

vitalproof::reading<vitalproof::sign::pulse> pulse;
#ifdef MUST_NOT_COMPILE
vitalproof::reading<height> tall;
#endif
