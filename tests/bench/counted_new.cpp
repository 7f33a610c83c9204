#include "counted_new.hpp"

#include <cstdlib>
#include <new>

namespace {
std::uint64_t so_far = 0;  // one thread

void* counted(void* got) {
    ++so_far;
    if (got == nullptr) {
        std::abort();
    }
    return got;
}
}  // namespace

namespace bench {
std::uint64_t allocations() { return so_far; }
}  // namespace bench

void* operator new(std::size_t size) { return counted(std::malloc(size)); }
void* operator new(std::size_t size, std::align_val_t alignment) {
    const auto whole = static_cast<std::size_t>(alignment);
    return counted(std::aligned_alloc(whole, (size + whole - 1) / whole * whole));
}
void operator delete(void* held) noexcept { std::free(held); }
void operator delete(void* held, std::size_t /*size*/) noexcept { std::free(held); }
void operator delete(void* held, std::align_val_t /*alignment*/) noexcept { std::free(held); }
void operator delete(void* held, std::size_t /*size*/, std::align_val_t /*alignment*/) noexcept {
    std::free(held);
}
