// Arrow's structs in the capsules by which Python hands them on.
// Used where columns come in and go out. Promises the names of the PyCapsule interface, and that
// what nobody takes over is released.
#pragma once

#include "arrow_abi.hpp"

#include <pybind11/pybind11.h>

namespace vitalproof::python {

inline constexpr const char* schema_capsule = "arrow_schema";
inline constexpr const char* array_capsule = "arrow_array";
inline constexpr const char* stream_capsule = "arrow_array_stream";

/// The struct in a capsule of that name; throws ValueError where it is none.
template <class Struct>
Struct& struct_in(const pybind11::object& capsule, const char* name) {
    void* held = PyCapsule_GetPointer(capsule.ptr(), name);
    if (held == nullptr) {
        throw pybind11::error_already_set();
    }
    return *static_cast<Struct*>(held);
}

/// A capsule around a struct that `fill` fills.
template <class Struct, class Fill>
pybind11::object capsule_with(const char* name, Fill&& fill) {
    auto held = std::make_unique<Struct>();
    fill(*held);
    auto* capsule = PyCapsule_New(held.get(), name, [](PyObject* own) {
        auto* of = static_cast<Struct*>(PyCapsule_GetPointer(own, PyCapsule_GetName(own)));
        if (of->release != nullptr) {
            of->release(of);
        }
        delete of;  // NOLINT: a capsule holds a bare pointer
    });
    if (capsule == nullptr) {
        throw pybind11::error_already_set();
    }
    static_cast<void>(held.release());
    return pybind11::reinterpret_steal<pybind11::object>(capsule);
}

}  // namespace vitalproof::python
