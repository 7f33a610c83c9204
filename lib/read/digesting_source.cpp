#include "read/digesting_source.hpp"

// By the widest vectors of the processor; the digest is the same.
#if defined(__x86_64__)
#include <xxh_x86dispatch.h>
#else
#include <xxhash.h>
#endif

#include <new>

namespace vitalproof::read {

struct digesting_source::state {
    state() : hash(XXH3_createState()) {
        if (hash == nullptr || XXH3_128bits_reset(hash) != XXH_OK) {
            throw std::bad_alloc();
        }
    }
    ~state() { XXH3_freeState(hash); }
    state(const state&) = delete;
    state& operator=(const state&) = delete;

    XXH3_state_t* hash;
};

digesting_source::digesting_source(byte_source& from)
    : from_(from), state_(std::make_unique<state>()) {}

digesting_source::~digesting_source() = default;

std::ptrdiff_t digesting_source::read(char* into, std::size_t size) {
    const std::ptrdiff_t got = from_.read(into, size);
    if (got > 0) {
        XXH3_128bits_update(state_->hash, into, static_cast<std::size_t>(got));
        bytes_ += static_cast<std::uint64_t>(got);
    }
    return got;
}

std::string digesting_source::digest() const {
    XXH128_canonical_t canonical;
    XXH128_canonicalFromHash(&canonical, XXH3_128bits_digest(state_->hash));
    constexpr char digits[] = "0123456789abcdef";
    std::string text;
    for (const unsigned char byte : canonical.digest) {
        text += digits[byte >> 4];
        text += digits[byte & 15];
    }
    return text;
}

}  // namespace vitalproof::read
