// The two halves of reading a file, done by two threads.
// Used by the audit where it may use two and the file's form can be halved. Promises the calls that
// one thread would make, in their order, all from the other thread; bounded memory; and that what
// the other thread throws is thrown where the file is read.
#pragma once

#include "read/delimited.hpp"
#include "read/halved_reading.hpp"

namespace vitalproof::audit {

class two_halves final : public read::half_runner {
public:
    explicit two_halves(read::sink& to) : to_(to) {}

    void run(read::halved_reading& reading) override;

private:
    read::sink& to_;
};

}  // namespace vitalproof::audit
