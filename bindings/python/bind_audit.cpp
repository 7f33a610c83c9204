#include "choices.hpp"
#include "command/audit_command.hpp"
#include "command/command.hpp"
#include "command/signals.hpp"
#include "registrars.hpp"
#include "write/output.hpp"
#include <vitalproof/message.hpp>

#include <pybind11/stl.h>

#include <atomic>
#include <chrono>
#include <future>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace vitalproof::python {

namespace py = pybind11;

namespace {

/// Runs the audit beside the interpreter, so that Control-C reaches it.
command::audit_result run(const command::audit_request& request) {
    std::atomic<bool> stop{false};
    auto running =
        std::async(std::launch::async, [&] { return command::audit_into_folder(request, stop); });
    bool interrupted = false;
    while (true) {
        {
            const py::gil_scoped_release released;
            if (running.wait_for(std::chrono::milliseconds(50)) == std::future_status::ready) {
                break;
            }
        }
        if (!interrupted && PyErr_CheckSignals() != 0) {
            interrupted = true;
            stop = true;
        }
    }
    if (interrupted) {
        running.wait();
        throw py::error_already_set();
    }
    return running.get();
}

py::tuple audit(const std::vector<std::string>& files, const std::string& into,
                const read::sourced_limits& in_force,
                const std::optional<std::pair<std::string, std::string>>& mapping,
                const std::optional<std::string>& dates, const std::optional<std::string>& zone,
                const std::string& as_of, bool strict_xml) {
    command::audit_request request;
    request.files = files;
    request.into = into;
    request.in_force = in_force;
    request.quiet = true;
    request.reading.strict_xml = strict_xml;
    if (mapping) {
        request.reading.mapping =
            std::make_shared<read::column_mapping>(mapping_in(mapping->first, mapping->second));
    }
    request.reading.dates = order_named(dates);
    request.reading.zone = zone_named(zone);
    const auto stated = read::read_timestamp(as_of);
    if (stated.kind != read::time_kind::clock) {
        throw py::value_error("as_of needs a date and time, such as 2026-03-01T12:00Z");
    }
    request.as_of = stated.time;
    try {
        const command::audit_result result = run(request);
        return py::make_tuple(result.status, result.summary, result.troubles);
    } catch (const write::folder_refused& e) {
        throw py::value_error(e.what());
    } catch (const write::output_error& e) {
        PyErr_SetString(PyExc_OSError, e.what());
        throw py::error_already_set();
    }
}

int run_program(const std::vector<std::string>& arguments) {
    std::vector<const char*> pointers;
    pointers.reserve(arguments.size());
    for (const std::string& argument : arguments) {
        pointers.push_back(argument.c_str());
    }
    const py::gil_scoped_release released;
    return command::run(static_cast<int>(pointers.size()), pointers.data(),
                        command::stop_on_signals());
}

}  // namespace

void register_audit(py::module_& m) {
    m.def("audit", &audit, py::arg("files"), py::arg("into"), py::arg("limits"), py::arg("mapping"),
          py::arg("dates"), py::arg("zone"), py::arg("as_of"), py::arg("strict_xml"));
    m.def("run_program", &run_program, py::arg("arguments"));
}

}  // namespace vitalproof::python
