// A byte source that remembers what passed through it.
// Used by readers, so that an audit can say which input it saw.
// Promises the XXH3-128 digest of all bytes read, whatever the sizes they were read in.
#pragma once

#include "read/byte_source.hpp"

#include <cstdint>
#include <memory>
#include <string>

namespace vitalproof::read {

class digesting_source final : public byte_source {
public:
    /// The other source must outlive this one.
    explicit digesting_source(byte_source& from);
    ~digesting_source() override;
    digesting_source(const digesting_source&) = delete;
    digesting_source& operator=(const digesting_source&) = delete;

    std::ptrdiff_t read(char* into, std::size_t size) override;
    std::string trouble() const override { return from_.trouble(); }

    std::uint64_t bytes() const { return bytes_; }

    /// 32 hexadecimal digits, most significant first.
    std::string digest() const;

private:
    struct state;
    byte_source& from_;
    std::unique_ptr<state> state_;
    std::uint64_t bytes_ = 0;
};

}  // namespace vitalproof::read
