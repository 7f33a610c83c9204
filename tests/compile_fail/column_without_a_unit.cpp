// A column has to say its unit.
// expect: no matching (member )?function( for call to)?
#include <vitalproof/columns.hpp>

#include <vector>

void add(vitalproof::vital_columns& columns, const std::vector<double>& values) {
#ifdef MUST_NOT_COMPILE
    columns.add<vitalproof::sign::glucose>(values);
#else
    columns.add<vitalproof::sign::glucose>(values, vitalproof::mmol_per_L);
#endif
}
