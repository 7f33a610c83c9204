// The structs of Arrow's C data interface, by which columns pass between libraries in place.
// Used by what comes in from Python and by what goes out. Promises the layout that the Arrow
// columnar format fixes ("The Arrow C data interface", "The Arrow C stream interface") and the
// release of whatever is held.
#pragma once

#include <cstdint>
#include <utility>

// The names, types and order of members are those of the standard.
// NOLINTBEGIN(readability-identifier-naming)
extern "C" {

struct ArrowSchema {
    const char* format;
    const char* name;
    const char* metadata;
    std::int64_t flags;
    std::int64_t n_children;
    ArrowSchema** children;
    ArrowSchema* dictionary;
    void (*release)(ArrowSchema*);
    void* private_data;
};

struct ArrowArray {
    std::int64_t length;
    std::int64_t null_count;
    std::int64_t offset;
    std::int64_t n_buffers;
    std::int64_t n_children;
    const void** buffers;
    ArrowArray** children;
    ArrowArray* dictionary;
    void (*release)(ArrowArray*);
    void* private_data;
};

struct ArrowArrayStream {
    int (*get_schema)(ArrowArrayStream*, ArrowSchema* out);
    int (*get_next)(ArrowArrayStream*, ArrowArray* out);
    const char* (*get_last_error)(ArrowArrayStream*);
    void (*release)(ArrowArrayStream*);
    void* private_data;
};
}
// NOLINTEND(readability-identifier-naming)

namespace vitalproof::python {

/// Bit of a schema's flags: values may be missing.
inline constexpr std::int64_t arrow_nullable = 2;

/// One of the structs, released when it is no longer needed.
template <class Struct>
class arrow_owner {
public:
    arrow_owner() = default;
    /// Takes over what lies at `from` and marks it as released there.
    explicit arrow_owner(Struct& from) : held_(from) { from.release = nullptr; }
    arrow_owner(arrow_owner&& other) noexcept : held_(std::exchange(other.held_, {})) {}
    arrow_owner& operator=(arrow_owner&& other) noexcept {
        std::swap(held_, other.held_);
        return *this;
    }
    ~arrow_owner() {
        if (held_.release != nullptr) {
            held_.release(&held_);
        }
    }

    Struct& operator*() { return held_; }
    Struct* operator->() { return &held_; }
    const Struct& operator*() const { return held_; }
    const Struct* operator->() const { return &held_; }

private:
    Struct held_{};
};

}  // namespace vitalproof::python
