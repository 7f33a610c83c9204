// A file read in two halves, which may be done by two threads.
// Used by the audit: one thread parts the text into blocks, another makes reports of them. Promises
// that the halves share nothing but the block that is handed from one to the other.
#pragma once

#include "read/delimited.hpp"

#include <cstddef>
#include <memory>

namespace vitalproof::read {

/// A part of a text and where its reports lie in it.
class text_block {
public:
    virtual ~text_block() = default;
    /// How much memory it holds.
    virtual std::size_t bytes() const = 0;
};

class halved_reading {
public:
    virtual ~halved_reading() = default;

    virtual std::unique_ptr<text_block> new_block() const = 0;
    /// The first half. Fills a block, whatever it held before; false where nothing is left.
    virtual bool part(text_block& into) = 0;
    /// The second half, of one block after another in their order.
    virtual void read(text_block& block, sink& into) = 0;
};

/// Does both halves of a reading, to the end.
class half_runner {
public:
    virtual ~half_runner() = default;
    virtual void run(halved_reading& reading) = 0;
};

}  // namespace vitalproof::read
