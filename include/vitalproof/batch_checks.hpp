// The catalogue's checks of a whole batch, beside those of a set.
// Used by the catalogue's limits, the audit, the program and the reference page. Promises one entry
// a check, in the order a reader meets them.
#pragma once

#include <vitalproof/checks/clock_device.hpp>
#include <vitalproof/checks/repeated_report.hpp>
#include <vitalproof/checks/unit_column.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {

/// A check of a batch, by its place in the table.
enum class batch_check : std::uint8_t { unit_column, clock_device, repeated_report };

static_assert(BatchCheck<checks::unit_column> && BatchCheck<checks::clock_device> &&
              BatchCheck<checks::repeated_report>);
inline constexpr std::array batch_check_table{checks::unit_column::info, checks::clock_device::info,
                                              checks::repeated_report::info};
inline constexpr std::size_t batch_check_count = batch_check_table.size();

constexpr std::size_t index_of(batch_check check) { return static_cast<std::size_t>(check); }
constexpr const batch_check_info& describe(batch_check check) {
    return batch_check_table[index_of(check)];
}

constexpr std::optional<batch_check> find_batch_check(std::string_view code) {
    for (std::size_t i = 0; i < batch_check_count; ++i) {
        if (batch_check_table[i].code == code) {
            return static_cast<batch_check>(i);
        }
    }
    return std::nullopt;
}

}  // namespace vitalproof::inline VITALPROOF_ABI
