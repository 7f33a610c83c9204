#include "names.hpp"
#include "read/cell.hpp"
#include "read/context_words.hpp"
#include "read/number.hpp"
#include "read/row_reader.hpp"
#include "read/text.hpp"
#include "registrars.hpp"
#include <vitalproof/care_report.hpp>

#include <fmt/format.h>
#include <pybind11/stl.h>

#include <map>
#include <optional>
#include <string>

namespace vitalproof::python {

namespace py = pybind11;

namespace {

template <class Use>
void with_sign(sign_id id, Use&& use) {
    for_each_sign(all_signs{}, [&]<VitalSign S>(S sign) {
        if (S::info.id == id) {
            use(sign);
        }
    });
}

/// A number in a unit that is one of the sign's.
void put_value(vital_set& set, const std::string& name, double value, const std::string& unit) {
    const sign_id id = sign_named(name);
    const auto in = unit_of_sign(id, unit);
    with_sign(id, [&]<VitalSign S>(S sign) {
        set[sign] = reading<S>(value_of<S>::from_value(read::to_held(id, in, value)));
        const bool says_more = in != read::held_unit(id) && set[sign].is_number();
        set.charted.put(
            sign, says_more ? read::value_in_unit(fmt::format("{}", value), read::symbol_of(in))
                            : charted_text());
    });
}

/// A text as a cell has it: a number with its unit, HI, LO, refused ...
void put_text(vital_set& set, const std::string& name, const std::string& text) {
    const sign_id id = sign_named(name);
    const auto unit = read::held_unit(id);
    if (unit != read::charted_unit::points && read::parse_number(read::trimmed(text))) {
        throw py::value_error("\"" + text + "\" is a bare number: give the unit of " +
                              std::string(describe(id).label) + " (" + read::units_of(id) + ")");
    }
    const read::cell_value cell = read::read_cell(text, {.sign = id, .unit = unit});
    with_sign(id, [&]<VitalSign S>(S sign) { read::put_cell(set, sign, cell); });
    if (cell.palpated) {
        set.systolic.set_method(method::palpated);
        set.diastolic.set_method(method::palpated);
    }
}

void set_method(vital_set& set, const std::string& of, const std::string& how) {
    const bool pressure = of == "pressure";
    if (!pressure && of != "pulse") {
        throw py::value_error("a method is of the pressure or of the pulse");
    }
    const auto method = pressure ? read::read_pressure_method(how) : read::read_pulse_method(how);
    if (!method) {
        throw py::value_error("\"" + how + "\" is no method of the " + of);
    }
    pressure ? read::set_pressure_method(set, *method) : read::set_pulse_method(set, *method);
}

void set_time(vital_set& set, std::int64_t local_seconds, std::optional<std::int64_t> offset,
              bool elapsed) {
    vitalproof::set_time at{
        .local = std::chrono::local_seconds(std::chrono::seconds(local_seconds)),
        .elapsed = elapsed};
    if (offset) {
        at.utc_offset = std::chrono::minutes(*offset);
    }
    set.taken_at = at;
}

void state_facts(facts& known, const std::map<std::string, bool>& said) {
    for (const auto& [name, is] : said) {
        known.state(fact_named(name), is);
    }
}

void set_disposition(care_report& report, const std::string& text) {
    const auto ended = read::read_disposition(text);
    if (!ended) {
        throw py::value_error("\"" + text + "\" is no way that a call ends");
    }
    report.call.emplace().ended = *ended;
}

}  // namespace

void register_reports(py::module_& m) {
    py::class_<vital_set>(m, "Set")
        .def(py::init<>())
        .def("put_value", &put_value, py::arg("sign"), py::arg("value"), py::arg("unit"))
        .def("put_text", &put_text, py::arg("sign"), py::arg("text"))
        .def("set_method", &set_method, py::arg("of"), py::arg("how"))
        .def("set_time", &set_time, py::arg("local_seconds"), py::arg("offset"), py::arg("elapsed"))
        .def(
            "state",
            [](vital_set& s, const std::map<std::string, bool>& said) {
                state_facts(s.known, said);
            },
            py::arg("facts"));
    py::class_<care_report>(m, "Report")
        .def(py::init<>())
        .def_readwrite("id", &care_report::id)
        .def_readwrite("crew", &care_report::crew)
        .def_readwrite("device", &care_report::device)
        .def_readwrite("incident", &care_report::incident)
        .def(
            "set_age", [](care_report& r, double years) { r.age = age_in_years(years); },
            py::arg("years"))
        .def("set_disposition", &set_disposition, py::arg("text"))
        .def(
            "state",
            [](care_report& r, const std::map<std::string, bool>& said) {
                state_facts(r.known, said);
            },
            py::arg("facts"))
        .def(
            "add", [](care_report& r, const vital_set& s) { r.sets.push_back(s); }, py::arg("set"));
}

}  // namespace vitalproof::python
