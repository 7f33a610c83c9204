// Points of a score are no percentage; both would be bare numbers had they no dimension.
// expect: point_dimension
// expect: percent_dimension
#include <vitalproof/units.hpp>

vitalproof::quantity<vitalproof::units::percent> share(
    vitalproof::quantity<vitalproof::units::percent> measured,
    vitalproof::quantity<vitalproof::units::point> score) {
    static_cast<void>(score);
#ifdef MUST_NOT_COMPILE
    measured = score;
#endif
    return measured;
}
