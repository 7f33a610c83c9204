// Counts, a device, the shifts of a clock that would mend its reports.
// Used by the audit. Promises whole numbers in bounded memory, and a finding for a device only,
// never for those who carried it.
#pragma once

#include <vitalproof/batch_finding.hpp>
#include <vitalproof/finding.hpp>

#include <cstdint>
#include <deque>
#include <map>
#include <span>
#include <string>
#include <vector>

namespace vitalproof::audit {

class device_clocks {
public:
    /// Devices beyond these are not looked at.
    static constexpr std::size_t most_devices = 10'000;

    /// By how much the clock of a device would have to be shifted for a report.
    struct shift {
        std::string device;
        std::int64_t minutes;
    };

    void add_report(const care_report& report);
    /// Of a report that was added.
    void add(const shift& of_report);

    /// Puts the shifts that findings tell of behind `shifts`.
    static void gather(std::span<const finding> of_set, std::vector<shift>& shifts);

    /// What is found, in the order of the devices' names.
    std::vector<batch_finding> found() const;

private:
    struct clock {
        std::uint64_t reports = 0;
        std::map<std::int64_t, std::uint64_t> shifts{};  // reports by minutes
    };
    std::map<std::string, clock> devices_;
};

}  // namespace vitalproof::audit
