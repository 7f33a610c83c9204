#include "audit/device_clocks.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace vitalproof::audit {

namespace {

/// The direction of each check that tells of a shift of a clock; none for the others.
constexpr auto directions = [] {
    std::array<int, check_count> direction{};
    for (std::size_t i = 0; i < check_count; ++i) {
        const std::string_view code = check_table[i].code;
        const bool slow = code == "clock.slow" || code == "clock.monitor_slow";
        const bool fast = code == "clock.fast" || code == "clock.monitor_fast";
        direction[i] = slow ? 1 : fast ? -1 : 0;
    }
    return direction;
}();
static_assert(std::ranges::count(directions, 1) == 2 && std::ranges::count(directions, -1) == 2);

std::int64_t minutes_of(const finding& f) {
    for (const evidence_number& n : f.evidence.numbers()) {
        if (n.name == "shift") {
            return directions[f.check] * std::llround(n.value);
        }
    }
    return 0;
}

}  // namespace

void device_clocks::add_report(const care_report& report) {
    if (report.device.empty()) {
        return;
    }
    const auto known = devices_.find(report.device);
    if (known != devices_.end()) {
        ++known->second.reports;
    } else if (devices_.size() < most_devices) {
        devices_[report.device].reports = 1;
    }
}

void device_clocks::add(const shift& of_report) {
    if (const auto known = devices_.find(of_report.device); known != devices_.end()) {
        ++known->second.shifts[of_report.minutes];
    }
}

void device_clocks::gather(std::span<const finding> of_set, std::vector<shift>& shifts) {
    for (const finding& f : of_set) {
        if (directions[f.check] != 0) {
            shifts.push_back({f.device, minutes_of(f)});
        }
    }
}

std::vector<batch_finding> device_clocks::found() const {
    std::vector<batch_finding> all;
    for (const auto& [device, clock] : devices_) {
        const auto most =
            std::ranges::max_element(clock.shifts, {}, [](const auto& s) { return s.second; });
        if (most == clock.shifts.end()) {
            continue;
        }
        const checks::clock_device::counts counts{clock.reports, most->second};
        if (checks::clock_device::fires(counts)) {
            batch_finding f;
            f.check = batch_check::clock_device;
            f.device = device;
            f.shift = most->first;
            f.clocks = counts;
            all.push_back(std::move(f));
        }
    }
    return all;
}

}  // namespace vitalproof::audit
