// NaN is a missing value, and -ffast-math does away with NaN.
// expect: without -ffast-math
#ifdef MUST_NOT_COMPILE
#define __FAST_MATH__ 1
#endif
#include <vitalproof/config.hpp>
