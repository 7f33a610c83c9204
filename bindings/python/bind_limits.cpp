#include "read/limits_file.hpp"
#include "registrars.hpp"
#include "write/limits_toml.hpp"
#include <vitalproof/limit_entries.hpp>

#include <pybind11/stl.h>

#include <algorithm>
#include <map>
#include <string>
#include <tuple>
#include <vector>

namespace vitalproof::python {

namespace py = pybind11;

namespace {

void apply(read::sourced_limits& to, const std::string& text, const std::string& name) {
    std::string all;
    for (const auto& error : read::apply_limits(text, name, to)) {
        all += (all.empty() ? "" : "\n") + error.text;
    }
    if (!all.empty()) {
        throw py::value_error(all);
    }
}

void turn_off(read::sourced_limits& in, const std::string& name, const std::string& by) {
    if (const auto error = read::turn_off(name, by, in)) {
        throw py::value_error(error->text);
    }
}

/// Table, name, value, unit, source, and what set it.
using entry = std::tuple<std::string, std::string, double, std::string, std::string, std::string>;

std::vector<entry> entries(read::sourced_limits& of) {
    std::vector<entry> all;
    for (const limit_entry& e : list_limits(of.values)) {
        const auto set = of.set_by.find(e.table + "." + e.name);
        all.emplace_back(e.table, e.name, static_cast<double>(*e.value), e.unit, e.source,
                         set == of.set_by.end() ? "" : set->second);
    }
    return all;
}

/// Leaves on none but these, and what no choice leaves out.
void keep_only(read::sourced_limits& in, const std::vector<std::string>& codes) {
    const auto is_kept = [&](std::string_view code) {
        return read::is_never_left_out(code) || std::ranges::find(codes, code) != codes.end();
    };
    for (std::size_t i = 0; i < check_count; ++i) {
        in.values.turn(i, in.values.is_on(i) && is_kept(check_table[i].code));
    }
    for (std::size_t i = 0; i < batch_check_count; ++i) {
        const auto check = static_cast<batch_check>(i);
        in.values.turn(check, in.values.is_on(check) && is_kept(batch_check_table[i].code));
    }
}

/// The checks turned off, and by what.
std::map<std::string, std::string> off(const read::sourced_limits& of) { return of.off_by; }

bool is_on(const read::sourced_limits& in, const std::string& code) {
    if (const auto check = find_check(code)) {
        return in.values.is_on(*check);
    }
    const auto of_batch = find_batch_check(code);
    return of_batch && in.values.is_on(*of_batch);
}

}  // namespace

void register_limits(py::module_& m) {
    py::class_<read::sourced_limits>(m, "Limits")
        .def(py::init<>())
        .def("copy", [](const read::sourced_limits& l) { return l; })
        .def("apply", &apply, py::arg("text"), py::arg("name"))
        .def("turn_off", &turn_off, py::arg("name"), py::arg("by"))
        .def("keep_only", &keep_only, py::arg("codes"))
        .def("entries", &entries)
        .def("off", &off)
        .def("is_on", &is_on, py::arg("code"))
        .def("toml", [](const read::sourced_limits& l) { return write::limits_as_toml(l); });
    m.def(
        "is_never_left_out", [](const std::string& code) { return read::is_never_left_out(code); },
        py::arg("code"));
}

}  // namespace vitalproof::python
