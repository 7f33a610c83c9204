// The compiled part of the Python package; what a user sees is in vitalproof/.
#include "registrars.hpp"
#include <vitalproof/config.hpp>

PYBIND11_MODULE(_core, m) {
    using namespace vitalproof::python;
    m.doc() = "The compiled part of vitalproof. Use the package, not this.";
    m.attr("version") = vitalproof::version;
    register_catalogue(m);
    register_limits(m);
    register_columns(m);
    register_tables(m);
    register_findings(m);
    register_reports(m);
    register_audit(m);
}
