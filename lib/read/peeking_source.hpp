// A byte source whose first bytes may be looked at before they are read.
// Used to tell what a file is. Promises that what was looked at is given again, once, and that the
// end or a failure met while looking is not forgotten.
#pragma once

#include "read/byte_source.hpp"

#include <string>
#include <string_view>

namespace vitalproof::read {

class peeking_source final : public byte_source {
public:
    /// The other source must outlive this one.
    explicit peeking_source(byte_source& from) : from_(from) {}

    /// The first bytes, `most` of them unless there are fewer. Once, before the first read().
    std::string_view peek(std::size_t most);

    /// Whether the looking met the end: there is no more than peek() gave.
    bool ended() const { return ended_; }

    std::ptrdiff_t read(char* into, std::size_t size) override;
    std::string trouble() const override { return from_.trouble(); }

private:
    byte_source& from_;
    std::string first_{};
    std::size_t given_ = 0;
    bool ended_ = false;
    std::ptrdiff_t last_ = 0;  // what the source answered when it ended
};

}  // namespace vitalproof::read
