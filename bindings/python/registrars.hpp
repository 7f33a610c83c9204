// What each part of the module adds to it.
// Used by module.cpp. Promises one function a part.
#pragma once

#include <pybind11/pybind11.h>

namespace vitalproof::python {

void register_catalogue(pybind11::module_& m);
void register_limits(pybind11::module_& m);
void register_columns(pybind11::module_& m);
void register_tables(pybind11::module_& m);
void register_findings(pybind11::module_& m);
void register_reports(pybind11::module_& m);
void register_audit(pybind11::module_& m);

}  // namespace vitalproof::python
