#include "capsules.hpp"
#include "findings.hpp"
#include "offered_values.hpp"
#include "read/limits_file.hpp"
#include "registrars.hpp"

#include <pybind11/stl.h>

#include <string>
#include <tuple>
#include <vector>

namespace vitalproof::python {

namespace py = pybind11;

namespace {

struct found_table {
    finding_batches batches;

    std::size_t rows() const {
        std::size_t rows = 0;
        for (const auto& batch : batches) {
            rows += batch->rows();
        }
        return rows;
    }
};

/// A finding by the names of the table's columns; None where there is nothing.
py::dict record(const finding_columns& of, std::size_t row) {
    py::dict d;
    for (std::size_t i = 0; i < finding_number_names.size(); ++i) {
        const auto number = of.number(static_cast<finding_number>(i), row);
        d[finding_number_names[i]] = number < 0 ? py::object(py::none()) : py::int_(number);
    }
    for (std::size_t i = 0; i < finding_text_names.size(); ++i) {
        const auto text = of.text(static_cast<finding_text>(i), row);
        d[finding_text_names[i]] =
            text.empty() ? py::object(py::none()) : py::str(text.data(), text.size());
    }
    const double value = of.value(row);
    d["value"] = value == value ? py::object(py::float_(value)) : py::none();
    return d;
}

py::dict record_at(const found_table& found, std::size_t row) {
    for (const auto& batch : found.batches) {
        if (row < batch->rows()) {
            return record(*batch, row);
        }
        row -= batch->rows();
    }
    throw py::index_error("no such finding");
}

py::list records(const found_table& found) {
    py::list all;
    for (const auto& batch : found.batches) {
        for (std::size_t row = 0; row < batch->rows(); ++row) {
            all.append(record(*batch, row));
        }
    }
    return all;
}

found_table examine(const std::shared_ptr<table>& of, const read::sourced_limits& in_force,
                    bool words, std::size_t threads) {
    const py::gil_scoped_release released;
    return {examine_table(*of, in_force.values, words, threads)};
}

py::object stream_of(const found_table& found) {
    return capsule_with<ArrowArrayStream>(
        stream_capsule, [&](ArrowArrayStream& s) { export_findings(found.batches, s); });
}

}  // namespace

void register_findings(py::module_& m) {
    m.def("finding_columns", [] {
        std::vector<std::string> names;
        for (const outgoing_field& field : finding_columns::field().children) {
            names.push_back(field.name);
        }
        return names;
    });
    py::class_<found_table>(m, "Findings")
        .def_property_readonly("rows", &found_table::rows)
        .def("record", &record_at, py::arg("row"))
        .def("records", &records)
        .def("stream", &stream_of);
    m.def(
        "offered_values",
        [](const std::shared_ptr<table>& of, const read::sourced_limits& in_force) {
            std::vector<std::tuple<std::size_t, std::string, std::string, double>> all;
            for (const offered_value& o : offered_values(*of, in_force.values)) {
                all.emplace_back(o.row, check_table[o.check].code, describe(o.sign).name, o.value);
            }
            return all;
        },
        py::arg("table"), py::arg("limits"));
    m.def("examine", &examine, py::arg("table"), py::arg("limits"), py::arg("words"),
          py::arg("threads"));
    m.def(
        "examine_reports",
        [](std::vector<care_report> reports, const read::sourced_limits& in_force) {
            const py::gil_scoped_release released;
            return found_table{examine_reports(std::move(reports), in_force.values)};
        },
        py::arg("reports"), py::arg("limits"));
}

}  // namespace vitalproof::python
