#include "names.hpp"
#include "registrars.hpp"
#include <vitalproof/batch_checks.hpp>
#include <vitalproof/charted_text.hpp>
#include <vitalproof/run.hpp>

#include <pybind11/stl.h>

#include <functional>
#include <string>
#include <unordered_set>
#include <vector>

namespace vitalproof::python {

namespace py = pybind11;

namespace {

std::vector<std::string> signs_in(std::uint32_t mask) {
    std::vector<std::string> names;
    for (const sign_info& sign : sign_table) {
        if ((mask >> index_of(sign.id) & 1U) != 0) {
            names.emplace_back(sign.name);
        }
    }
    return names;
}

py::dict as_dict(const sign_info& sign) {
    py::dict d;
    d["name"] = sign.name;
    d["label"] = sign.label;
    d["unit"] = sign.unit;
    d["ucum"] = sign.ucum;
    d["loinc"] = sign.loinc;
    d["element"] = sign.element;
    return d;
}

template <class Info>
py::dict texts_of(const Info& info) {
    py::dict d;
    d["code"] = info.code;
    d["title"] = info.title;
    d["asks"] = name_of(info.asks);
    d["priority"] = static_cast<int>(info.priority);
    d["kind"] = name_of(info.kind);
    d["question"] = info.question;
    d["expected"] = info.expected;
    d["why"] = info.why;
    d["source"] = info.source;
    return d;
}

/// The readings a check speaks of: those that must be numbers, else the one it points at.
std::uint32_t spoken_of(std::size_t check) {
    const std::uint32_t own =
        check_table[check].about.empty() ? 1U << index_of(check_table[check].sign) : 0U;
    return check_needs[check] | own;
}

py::dict as_dict(std::size_t check) {
    const check_info& info = check_table[check];
    py::dict d = texts_of(info);
    d["subject"] = subject_of(info);
    d["context"] = info.context;
    d["signs"] = signs_in(spoken_of(check));
    d["looks_at"] = check_of_report[check]      ? "report"
                    : check_follows[check] != 0 ? "neighbours"
                                                : "set";
    return d;
}

py::dict as_dict(const batch_check_info& info) {
    py::dict d = texts_of(info);
    d["subject"] = "column";
    d["context"] = "";
    d["signs"] = std::vector<std::string>{};
    d["looks_at"] = "batch";
    return d;
}

py::list all_checks() {
    py::list checks;
    for (std::size_t check = 0; check < check_count; ++check) {
        checks.append(as_dict(check));
    }
    for (const batch_check_info& info : batch_check_table) {
        checks.append(as_dict(info));
    }
    return checks;
}

py::list all_signs_listed() {
    py::list signs;
    for (const sign_info& sign : sign_table) {
        signs.append(as_dict(sign));
    }
    return signs;
}

double convert(const std::string& sign, double value, const std::string& from,
               const std::string& to) {
    const sign_id id = sign_named(sign);
    const auto unit = unit_of_sign(id, to);
    const double held = read::to_held(id, unit_of_sign(id, from), value);
    return from_held(id, unit, held);
}

/// Names that have been seen, by their hashes: a mistaken "again" is one in 10^19 for each pair.
class seen_names {
public:
    /// Whether the name is new.
    bool add(const std::string& name) {
        return hashes_.insert(std::hash<std::string>{}(name)).second;
    }

private:
    std::unordered_set<std::size_t> hashes_;
};

}  // namespace

void register_catalogue(py::module_& m) {
    m.def("checks", &all_checks);
    m.def("signs", &all_signs_listed);
    m.def("facts", [] { return std::vector<std::string>(fact_names.begin(), fact_names.end()); });
    m.def("convert", &convert, py::arg("sign"), py::arg("value"), py::arg("source"),
          py::arg("target"));
    m.def(
        "is_unit", [](const std::string& name) { return read::unit_named(name).has_value(); },
        py::arg("name"));
    m.def(
        "unit_symbol",
        [](const std::string& name) {
            const auto unit = read::unit_named(name);
            return unit ? std::string(read::symbol_of(*unit)) : std::string();
        },
        py::arg("name"));
    m.def(
        "shown", [](const std::string& text) { return charted_text(text).display(); },
        py::arg("text"));
    py::class_<seen_names>(m, "SeenNames")
        .def(py::init<>())
        .def("add", &seen_names::add, py::arg("name"));
    m.def(
        "suggestion",
        [](const std::string& mistyped, const std::vector<std::string>& known) {
            return read::suggestion(mistyped, known);
        },
        py::arg("mistyped"), py::arg("known"));
}

}  // namespace vitalproof::python
