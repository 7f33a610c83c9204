#include "read/time_zone.hpp"

#include "read/suggest.hpp"
#include "read/text.hpp"

#include <date/tz.h>

#include <algorithm>
#include <exception>
#include <vector>

namespace vitalproof::read {

namespace {

using std::chrono::local_seconds;
using std::chrono::seconds;

// Databases list the changes to come up to here; behind it the rules of a zone are not at hand.
constexpr std::chrono::year first_unlisted{2038};
constexpr local_seconds end_of_listed{
    std::chrono::local_days(first_unlisted / std::chrono::January / 1).time_since_epoch()};

date::local_seconds to_date(local_seconds at) { return date::local_seconds(at.time_since_epoch()); }

// The names, and among them the whole of one whose city was given: "new york", "New_York".
std::string nearest_name(std::string_view wanted) {
    std::vector<std::string> names;
    for (const date::time_zone& zone : date::get_tzdb().zones) {
        names.push_back(zone.name());
        const std::string_view name = names.back();
        if (const auto slash = name.rfind('/');
            slash != name.npos && bare_name(name.substr(slash + 1)) == bare_name(wanted)) {
            return " Did you mean \"" + std::string(name) + "\"?";
        }
    }
    return suggestion(wanted, names);
}

}  // namespace

std::string time_zone::name() const { return zone_->name(); }

void time_zone::tell_doubt(set_time& at) const {
    const date::local_info info = zone_->get_info(to_date(at.local));
    if (info.result == date::local_info::unique) {
        return;
    }
    at.doubt =
        info.result == date::local_info::nonexistent ? local_doubt::skipped : local_doubt::twice;
    // As if nobody had moved the clock yet: so it stays in order with the sets before it.
    at.assumed_offset = static_cast<std::int16_t>(
        std::chrono::floor<std::chrono::minutes>(info.first.offset).count());
}

set_time time_zone::at_instant(std::int64_t utc_seconds) const {
    const seconds since_1970(utc_seconds);
    seconds offset(0);
    if (local_seconds(since_1970) < end_of_listed) {
        offset = zone_->get_info(date::sys_seconds(since_1970)).offset;
    }
    if (offset % std::chrono::minutes(1) != seconds(0)) {
        offset = seconds(0);
    }
    return {local_seconds(since_1970 + offset),
            std::chrono::duration_cast<std::chrono::minutes>(offset)};
}

bool time_zone::move_to(local_seconds local) {
    if (local >= end_of_listed) {
        return false;
    }
    const date::local_info info = zone_->get_info(to_date(local));
    const seconds offset = info.first.offset;
    if (info.result != date::local_info::unique || offset % std::chrono::minutes(1) != seconds(0)) {
        return false;
    }
    // Near a change local times are skipped or repeated: those are left outside.
    const seconds before = zone_->get_info(info.first.begin - seconds(1)).offset;
    const seconds after = zone_->get_info(info.first.end).offset;
    from_ = local_seconds(info.first.begin.time_since_epoch() + std::max(before, offset));
    to_ = std::min(end_of_listed,
                   local_seconds(info.first.end.time_since_epoch() + std::min(after, offset)));
    offset_ = std::chrono::duration_cast<std::chrono::minutes>(offset);
    return true;
}

zone_outcome find_time_zone(std::string_view name) {
    try {
        const auto& zones = date::get_tzdb().zones;
        const auto found =
            std::ranges::find(zones, name, [](const auto& zone) { return zone.name(); });
        if (found == zones.end()) {
            return {.error = "there is no time zone \"" + printable(name, 40) + "\"." +
                             nearest_name(name)};
        }
        found->get_info(date::sys_seconds{});  // is read when first asked, which may fail
        return {.zone = time_zone(*found)};
    } catch (const std::exception&) {
        return {.error = "the system's time zones cannot be read: install its tzdata."};
    }
}

}  // namespace vitalproof::read
