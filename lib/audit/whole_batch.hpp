// What is told of a batch at its end: of devices, and of reports that hold the same.
// Used by the audit. Promises findings behind all others, in an order of their own.
#pragma once

#include "audit/device_clocks.hpp"
#include "audit/repeated_reports.hpp"
#include <vitalproof/batch_finding.hpp>
#include <vitalproof/limits.hpp>

#include <utility>
#include <vector>

namespace vitalproof::audit {

class whole_batch {
public:
    explicit whole_batch(const limits& in_force)
        : asks_clocks_(in_force.is_on(batch_check::clock_device)),
          asks_repeated_(in_force.is_on(batch_check::repeated_report)) {}

    /// Reports with their sets in the order of their times, in the order of the batch.
    void add(const care_report& report) {
        if (asks_repeated_) {
            repeated_.add(report);
        }
        if (asks_clocks_) {
            clocks_.add_report(report);
        }
    }
    void add(const device_clocks::shift& of_report) { clocks_.add(of_report); }

    /// Calls `tell` with each finding.
    template <class Tell>
    void finish(Tell&& tell) {
        for (batch_finding& f : clocks_.found()) {
            tell(std::move(f));
        }
        for (batch_finding& f : repeated_.found()) {
            tell(std::move(f));
        }
    }

    bool repeated_not_told() const { return repeated_.failed(); }

private:
    bool asks_clocks_;
    bool asks_repeated_;
    device_clocks clocks_{};
    repeated_reports repeated_{};
};

}  // namespace vitalproof::audit
