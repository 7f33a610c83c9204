#include "capsules.hpp"
#include "choices.hpp"
#include "flags.hpp"
#include "names.hpp"
#include "read/column_names.hpp"
#include "read/limits_file.hpp"
#include "registrars.hpp"
#include "table.hpp"
#include "write/summary.hpp"

#include <pybind11/numpy.h>
#include <pybind11/stl.h>

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace vitalproof::python {

namespace py = pybind11;

namespace {

[[noreturn]] void refuse(const read::file_error& error) {
    throw py::value_error(write::error_text(error));
}

/// The column that a unit is stated of: by its header, else by its sign.
read::column& column_called(read::understanding& columns, const std::string& name) {
    std::vector<std::string> known;
    for (const bool by_header : {true, false}) {
        for (read::column& c : columns.columns) {
            if (!read::has_unit(c.role)) {
                continue;
            }
            const std::string own = by_header ? c.header : std::string(describe(c.sign).name);
            if (own == name) {
                return c;
            }
            known.push_back(own);
        }
    }
    throw py::value_error("a unit is given for \"" + name +
                          "\", and no column is called so or holds such a sign." +
                          read::suggestion(name, known));
}

read::understanding understand(const std::vector<std::string>& names,
                               const std::optional<std::string>& mapping,
                               const std::map<std::string, std::string>& units) {
    const auto said = mapping ? std::optional(mapping_in(*mapping, "given")) : std::nullopt;
    const std::vector<std::string_view> header(names.begin(), names.end());
    read::header_outcome outcome = read::understand_header(header, said ? &*said : nullptr, false);
    if (outcome.error) {
        refuse(*outcome.error);
    }
    if (outcome.columns.long_form()) {
        refuse({"one row of this table is one reading",
                "pivot it first, so that a row is a set and a column a sign"});
    }
    if (!outcome.columns.groups.empty()) {
        refuse({"one row of this table holds several sets",
                "put each set into a row of its own first"});
    }
    for (const auto& [name, unit] : units) {
        read::column& c = column_called(outcome.columns, name);
        c.unit = unit_of_sign(c.sign, unit);
        c.unit_stated = true;
        c.mapped = true;
    }
    return std::move(outcome.columns);
}

/// What a mapping may say that a column is, beside the signs.
std::vector<std::string> column_meanings() {
    std::vector<std::string> words;
    for (int role = 0; role <= static_cast<int>(read::column_role::value_unit); ++role) {
        const auto word = read::mapping_word(static_cast<read::column_role>(role));
        if (!word.empty()) {
            words.emplace_back(word);
        }
    }
    for (const fact known : read::stated_facts) {
        words.emplace_back(fact_names[static_cast<std::size_t>(known)]);
    }
    return words;
}

py::list columns_of(const read::understanding& of) {
    py::list all;
    for (const read::column& c : of.columns) {
        const bool sign = c.role == read::column_role::sign;
        const std::string_view is = sign ? describe(c.sign).name
                                    : c.role == read::column_role::known_fact
                                        ? fact_names[static_cast<std::size_t>(c.known)]
                                        : read::mapping_word(c.role);
        py::dict d;
        d["index"] = c.index;
        d["header"] = c.header;
        d["is"] = is;
        d["sign"] = sign ? py::object(py::str(std::string(is))) : py::none();
        d["unit"] = read::has_unit(c.role)
                        ? py::object(py::str(std::string(read::symbol_of(c.unit))))
                        : py::none();
        d["unit_stated"] = c.unit_stated;
        d["doubt"] =
            c.doubt ? py::object(py::str(std::string(read::symbol_of(c.doubt->fits)))) : py::none();
        d["remark"] = c.remark;
        all.append(std::move(d));
    }
    return all;
}

std::shared_ptr<table> make_table(const read::understanding& columns, std::size_t rows,
                                  const std::map<std::size_t, source_column>& held,
                                  const std::optional<std::string>& dates,
                                  const std::optional<std::string>& zone, bool judge_units,
                                  std::size_t threads) {
    const table_options options{order_named(dates), zone_named(zone), judge_units, threads};
    const py::gil_scoped_release released;
    return std::make_shared<table>(columns, rows, held, options);
}

/// What could not be used, as sentences.
std::vector<std::string> notes_of(const table& of) {
    std::vector<std::string> notes;
    const auto tell = [&](const read::tally_of_lines& cells, const std::string& what,
                          const std::string& remedy) {
        if (cells.count != 0) {
            notes.push_back(std::to_string(cells.count) + " " + what + ", first in row " +
                            std::to_string(cells.first_line) + ": " + remedy);
        }
    };
    const unusable_cells& cells = of.unusable();
    tell(cells.reports, "rows name no report", "each is examined by itself");
    tell(cells.times, "times cannot be read", "their sets are examined without");
    tell(cells.undecided, "dates could be read two ways",
         "their sets are examined without a time; say dates=\"day-first\" or \"month-first\"");
    tell(cells.without_date, "times lack their date or their time of day",
         "their sets are examined without");
    tell(cells.ages, "ages cannot be read", "their reports are examined without");
    tell(cells.words, "cells hold none of their column's words", "nothing is known from them");
    return notes;
}

std::vector<std::size_t> check_places(const std::vector<std::string>& codes) {
    std::vector<std::size_t> places;
    for (const std::string& code : codes) {
        const auto check = find_check(code);
        if (!check) {
            throw py::value_error("there is no check \"" + code + "\" of sets");
        }
        places.push_back(*check);
    }
    return places;
}

std::shared_ptr<table_flags> flag(const std::shared_ptr<table>& of,
                                  const read::sourced_limits& in_force,
                                  const std::vector<std::string>& checks, std::size_t threads) {
    auto places = check_places(checks);
    const py::gil_scoped_release released;
    return std::make_shared<table_flags>(*of, in_force.values, std::move(places), threads);
}

std::vector<std::string> codes_of(const table_flags& flags) {
    std::vector<std::string> codes;
    for (const std::size_t check : flags.checks()) {
        codes.emplace_back(check_table[check].code);
    }
    return codes;
}

/// Packed bits without a copy; they live as long as the flags.
py::array bits_of(const std::shared_ptr<table_flags>& flags, const table_flags::words& words) {
    const py::capsule owner(new std::shared_ptr<table_flags>(flags), [](void* held) {
        delete static_cast<std::shared_ptr<table_flags>*>(held);  // NOLINT: as a capsule does
    });
    py::array_t<std::uint8_t> bits(static_cast<py::ssize_t>((flags->rows() + 7) / 8),
                                   reinterpret_cast<const std::uint8_t*>(words.data()), owner);
    bits.attr("flags").attr("writeable") = false;
    return bits;
}

py::tuple arrow_of(const std::shared_ptr<table_flags>& flags, std::optional<std::size_t> at) {
    py::object schema;
    py::object array;
    schema = capsule_with<ArrowSchema>(schema_capsule, [&](ArrowSchema& s) {
        array = capsule_with<ArrowArray>(array_capsule, [&](ArrowArray& a) {
            if (at) {
                export_flag(flags, *at, s, a);
            } else {
                export_flags(flags, s, a);
            }
        });
    });
    return py::make_tuple(schema, array);
}

std::size_t place_in(const table_flags& flags, std::size_t at) {
    if (at >= flags.checks().size()) {
        throw py::index_error("no such flag");
    }
    return at;
}

}  // namespace

void register_tables(py::module_& m) {
    py::class_<read::understanding>(m, "Understanding")
        .def("columns", &columns_of)
        .def_property_readonly("has_reports",
                               [](const read::understanding& of) {
                                   return of.find(read::column_role::report) != nullptr;
                               })
        .def(
            "text",
            [](const read::understanding& of, const std::string& name) {
                return write::columns_text(name, of);
            },
            py::arg("name"))
        .def(
            "assumptions",
            [](const read::understanding& of, const std::string& name) {
                return write::assumptions_text(name, of);
            },
            py::arg("name"));
    m.def("column_meanings", &column_meanings);
    m.def("understand", &understand, py::arg("names"), py::arg("mapping"), py::arg("units"));

    py::class_<table_flags, std::shared_ptr<table_flags>>(m, "Flags")
        .def_property_readonly("rows", &table_flags::rows)
        .def("codes", &codes_of)
        .def(
            "fired",
            [](const std::shared_ptr<table_flags>& f, std::size_t at) {
                return bits_of(f, f->fired(place_in(*f, at)));
            },
            py::arg("at"))
        .def(
            "evaluated",
            [](const std::shared_ptr<table_flags>& f, std::size_t at) {
                return bits_of(f, f->evaluated(place_in(*f, at)));
            },
            py::arg("at"))
        .def("arrow", &arrow_of, py::arg("at"))
        .def("stream", [](const std::shared_ptr<table_flags>& f) {
            return capsule_with<ArrowArrayStream>(stream_capsule,
                                                  [&](ArrowArrayStream& s) { export_flags(f, s); });
        });

    py::class_<table, std::shared_ptr<table>>(m, "Table")
        .def(py::init(&make_table), py::arg("columns"), py::arg("rows"), py::arg("held"),
             py::arg("dates"), py::arg("zone"), py::arg("judge_units"), py::arg("threads"))
        .def_property_readonly("rows", &table::rows)
        .def_property_readonly("has_reports", &table::has_reports)
        .def_property_readonly("understanding", &table::columns)
        .def("notes", &notes_of)
        .def("copied", &table::copied)
        .def("flag", &flag, py::arg("limits"), py::arg("checks"), py::arg("threads"));
}

}  // namespace vitalproof::python
