// A monitor whose clock is off by the same shift in report after report.
// Used by the audit, which counts the shifts that explain reports. Promises to speak of a device
// and of no crew, and to ask once a batch.
#pragma once

#include <vitalproof/batch_check.hpp>

#include <cstdint>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

struct clock_device {
    static constexpr batch_check_info info{
        .code = "clock.device",
        .title = "A monitor's clock off by the same in report after report",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::plausibility,
        .question =
            "In {shifted} of the {reports} reports with device {device} one shift of {shift} puts "
            "the times in order: its clock is {direction}. When was it last set?",
        .expected = "a clock that agrees with dispatch",
        .charted = "{shifted} of {reports} reports mended by {shift}",
        .why =
            "One clock explains what would else be asked of every crew that carried it. The "
            "reports' own findings stay; each says which shift would mend it.",
        .source = "three reports and half of the device's are common practice, no source",
        .heading = "To ask whoever keeps the monitors",
        .about = "device",
    };

    static constexpr std::uint64_t fewest_reports = 3;
    static constexpr std::uint64_t percent_needed = 50;

    /// Reports that name the device, and those among them that one and the same shift mends.
    struct counts {
        std::uint64_t reports = 0;
        std::uint64_t shifted = 0;

        constexpr void merge(const counts& piece) {
            reports += piece.reports;
            shifted += piece.shifted;
        }
        friend bool operator==(const counts&, const counts&) = default;
    };

    static constexpr bool fires(const counts& c) {
        return c.shifted >= fewest_reports && c.shifted * 100 >= c.reports * percent_needed;
    }
};

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
