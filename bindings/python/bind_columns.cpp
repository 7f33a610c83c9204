#include "arrow_in.hpp"
#include "capsules.hpp"
#include "registrars.hpp"
#include "source_column.hpp"

#include <pybind11/numpy.h>
#include <pybind11/stl.h>

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace vitalproof::python {

namespace py = pybind11;

namespace {

/// Keeps a Python object, and lets go of it where Python may be entered.
std::shared_ptr<const void> keep(py::object object) {
    return {new py::object(std::move(object)), [](const py::object* held) {
                const py::gil_scoped_acquire acquired;
                delete held;  // NOLINT: as a shared_ptr's deleter does
            }};
}

value_type type_of(const py::dtype& dtype) {
    const char kind = dtype.kind();
    const auto size = dtype.itemsize();
    if (kind == 'f' && (size == 8 || size == 4)) {
        return size == 8 ? value_type::float64 : value_type::float32;
    }
    if (kind == 'i') {
        return size == 1   ? value_type::int8
               : size == 2 ? value_type::int16
               : size == 4 ? value_type::int32
                           : value_type::int64;
    }
    if (kind == 'u' || kind == 'b') {
        return size == 1   ? value_type::uint8
               : size == 2 ? value_type::uint16
               : size == 4 ? value_type::uint32
                           : value_type::uint64;
    }
    throw py::type_error("an array of " + std::string(py::str(py::object(dtype))) +
                         ": give numbers, texts or times");
}

column_piece piece_of(const py::array& array) {
    if (array.ndim() != 1) {
        throw py::value_error("a column has one dimension, and this array has " +
                              std::to_string(array.ndim()));
    }
    column_piece piece;
    piece.rows = static_cast<std::size_t>(array.shape(0));
    piece.values = array.data();
    piece.step = array.strides(0);
    return piece;
}

source_column column_of_numpy(const py::array& array) {
    column_piece piece = piece_of(array);
    piece.type = type_of(array.dtype());
    return {{std::move(piece)}, keep(array)};
}

/// Whole numbers that count time.
source_column column_of_times(const py::array& array, const std::string& kind, std::int64_t seconds,
                              std::int64_t parts) {
    column_piece piece = piece_of(array);
    piece.type = kind == "instant"   ? value_type::instant
                 : kind == "elapsed" ? value_type::elapsed
                                     : value_type::day;
    if (type_of(array.dtype()) != value_type::int64) {
        throw py::type_error("times are counted in int64");
    }
    source_column column({std::move(piece)}, keep(array));
    return column.set_tick({seconds, parts});
}

source_column column_of_texts(const std::vector<std::optional<std::string>>& texts) {
    text_column column;
    for (const auto& text : texts) {
        column.add(text.value_or(""));
    }
    return source_column(std::move(column));
}

arrow_table table_of_stream(const py::object& stream) {
    return arrow_table(struct_in<ArrowArrayStream>(stream, stream_capsule));
}

arrow_table table_of_array(const py::object& schema, const py::object& array) {
    return {struct_in<ArrowSchema>(schema, schema_capsule),
            struct_in<ArrowArray>(array, array_capsule)};
}

}  // namespace

void register_columns(py::module_& m) {
    py::class_<source_column>(m, "Column")
        .def_property_readonly("rows", &source_column::rows)
        .def_property_readonly("zone", &source_column::zone)
        .def(
            "set_zone", [](source_column& c, std::string name) { c.set_zone(std::move(name)); },
            py::arg("name"));
    py::class_<arrow_table>(m, "ArrowTable")
        .def_property_readonly("has_columns", &arrow_table::has_columns)
        .def_property_readonly("names", &arrow_table::names)
        .def_property_readonly("rows", &arrow_table::rows)
        .def(
            "column", [](const arrow_table& t, std::size_t at) { return t.column(at); },
            py::arg("at"))
        .def("single", [](const arrow_table& t) { return t.column(); });
    m.def("column_of_numpy", &column_of_numpy, py::arg("array"));
    m.def("column_of_times", &column_of_times, py::arg("array"), py::arg("kind"),
          py::arg("seconds"), py::arg("parts"));
    m.def("column_of_texts", &column_of_texts, py::arg("texts"));
    m.def("table_of_stream", &table_of_stream, py::arg("stream"));
    m.def("table_of_array", &table_of_array, py::arg("schema"), py::arg("array"));
}

}  // namespace vitalproof::python
