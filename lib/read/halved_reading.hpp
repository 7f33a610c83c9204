// A file read in two halves: one thread parts the text into blocks, others make reports of them.
// Used by the audit where it may use several. Promises that the halves share nothing but the block
// that is handed from one to the other, and that blocks may be read by several at once.
#pragma once

#include "read/delimited.hpp"

#include <cstddef>
#include <memory>

namespace vitalproof::read {

/// A part of a text and where its reports lie in it; once read, also what was met in reading it.
class text_block {
public:
    virtual ~text_block() = default;
    /// How much memory it holds.
    virtual std::size_t bytes() const = 0;
};

/// Makes reports of blocks; one for each thread that does.
class second_half {
public:
    virtual ~second_half() = default;
    virtual void read(text_block& block, sink& into) = 0;
};

class halved_reading {
public:
    virtual ~halved_reading() = default;

    virtual std::unique_ptr<text_block> new_block() const = 0;
    /// The first half. Fills a block, whatever it held before; false where nothing is left.
    virtual bool part(text_block& into) = 0;
    virtual std::unique_ptr<second_half> new_second_half() const = 0;
    /// Counts what was met in reading a block; of each, in their order.
    virtual void account_for(const text_block& block) = 0;
};

/// Does both halves of a reading, to the end.
class half_runner {
public:
    virtual ~half_runner() = default;
    virtual void run(halved_reading& reading) = 0;
};

}  // namespace vitalproof::read
