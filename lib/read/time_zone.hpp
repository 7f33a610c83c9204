// A time zone by its IANA name, from the system's database: which offset a wall clock had.
// Used for times that were charted without an offset. Promises no guess at a local time that a
// change of clocks skips or repeats, and no cost but a comparison while times stay between two
// changes.
#pragma once

#include <vitalproof/vital_set.hpp>

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace date {
class time_zone;
}

namespace vitalproof::read {

class time_zone {
public:
    /// Gives a time without an offset its own. False, and no offset, where the zone has none or two
    /// for it, one of no whole minutes, or none known: the database is trusted to the end of 2037.
    /// A time that is skipped or comes twice is marked as such.
    bool place(set_time& at) {
        if (at.local < from_ || at.local >= to_) [[unlikely]] {
            if (!move_to(at.local)) {
                tell_doubt(at);
                return false;
            }
        }
        at.utc_offset = offset_;
        return true;
    }

    /// The wall clock at an instant, in seconds of UTC since 1970, with its offset where that is of
    /// whole minutes and known; else UTC.
    set_time at_instant(std::int64_t utc_seconds) const;

    std::string name() const;

private:
    friend struct zone_outcome find_time_zone(std::string_view name);
    explicit time_zone(const date::time_zone& zone) : zone_(&zone) {}
    bool move_to(std::chrono::local_seconds local);
    void tell_doubt(set_time& at) const;

    const date::time_zone* zone_;
    // Where local times have just this offset; nowhere at first.
    std::chrono::local_seconds from_{};
    std::chrono::local_seconds to_{};
    std::chrono::minutes offset_{};
};

struct zone_outcome {
    std::optional<time_zone> zone{};
    std::string error{};  ///< why there is none, with the nearest name
};

/// The zone of that very name, such as `America/New_York`.
zone_outcome find_time_zone(std::string_view name);

}  // namespace vitalproof::read
