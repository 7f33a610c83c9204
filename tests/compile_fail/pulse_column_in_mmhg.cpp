// A column of pulses has no unit of pressure.
// expect: (mmhg_base|pressure_dimension|mass_base_dimension)
#include <vitalproof/columns.hpp>

#include <vector>

void add(vitalproof::vital_columns& columns, const std::vector<double>& values) {
#ifdef MUST_NOT_COMPILE
    columns.add<vitalproof::sign::pulse>(values, vitalproof::mmHg);
#else
    columns.add<vitalproof::sign::pulse>(values, vitalproof::per_minute);
#endif
}
