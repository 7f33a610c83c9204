// What is told of a batch at its end: of devices, and of reports that hold the same.
// Used by the audit. Promises findings behind all others, in an order of their own.
#pragma once

#include "audit/device_clocks.hpp"
#include "audit/repeated_reports.hpp"
#include <vitalproof/batch_finding.hpp>
#include <vitalproof/limits.hpp>

#include <cstddef>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

namespace vitalproof::audit {

class whole_batch {
public:
    explicit whole_batch(const limits& in_force)
        : asks_clocks_(in_force.is_on(batch_check::clock_device)),
          asks_repeated_(in_force.is_on(batch_check::repeated_report)) {}

    /// What some reports tell of the batch, worked out by one thread.
    struct told {
        std::vector<repeated_reports::pair_of_sets> pairs{};
        std::vector<device_clocks::shift> shifts{};

        void clear() {
            pairs.clear();
            shifts.clear();
        }
    };

    /// Of a report with its sets in the order of their times, by its place among those reports.
    void gather(const care_report& report, std::size_t place, told& into) const {
        if (asks_repeated_) {
            repeated_reports::gather(report, static_cast<std::uint32_t>(place), into.pairs);
        }
    }

    /// Reports and what they tell, in the order of the batch.
    void add(std::span<const care_report> reports, const told& of_them) {
        repeated_.add(reports, of_them.pairs);
        if (asks_clocks_) {
            for (const care_report& report : reports) {
                clocks_.add_report(report);
            }
            for (const device_clocks::shift& shift : of_them.shifts) {
                clocks_.add(shift);
            }
        }
    }

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
