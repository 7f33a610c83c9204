// The text of a time, in every way of writing, and of two cells that are one time.
#include "fuzz.hpp"
#include "read/timestamp.hpp"

namespace {

using namespace fuzzing;

void require_sound(const read::timestamp& read) {
    const auto seconds = read.time.local.time_since_epoch().count();
    require(!read.time.utc_offset || (*read.time.utc_offset >= std::chrono::hours(-12) &&
                                      *read.time.utc_offset <= std::chrono::hours(14)),
            "an offset is one that places have");
    if (read.kind == read::time_kind::clock) {
        require(seconds >= -62'200'000'000 && seconds <= 253'402'300'800,
                "a clock time has a year of four digits");
    }
    if (read.kind == read::time_kind::elapsed) {
        require(seconds >= 0 && seconds < 3'600'000, "elapsed time has three digits of hours");
    }
}

bool same(const read::timestamp& a, const read::timestamp& b) {
    return a.kind == b.kind && (a.kind == read::time_kind::blank ||
                                a.kind == read::time_kind::unreadable || a.time == b.time);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    bytes from(text_of(data, size));
    const std::size_t choices = from.below(256);
    read::time_rules rules;
    rules.order = static_cast<read::day_order>(choices % 3);
    rules.short_years = (choices & 8U) != 0;
    rules.serials = (choices & 16U) != 0;
    const std::string text(from.rest());
    const std::size_t cut = text.find('\n');
    const std::string first = text.substr(0, cut);
    const std::string second = cut == std::string::npos ? "" : text.substr(cut + 1);
    const read::timestamp day = read::read_timestamp(first, rules);
    const read::timestamp clock = read::read_timestamp(second, rules);
    require_sound(day);
    require_sound(clock);
    require_sound(read::joined(day, clock));
    read::remembered_day last;
    require(same(day, read::read_timestamp(first, rules, last)),
            "a remembered day changes nothing");
    require(same(clock, read::read_timestamp(second, rules, last)), "nor in the cell after it");
    require(same(day, read::read_timestamp(first, rules, last)), "nor when it comes again");
    return 0;
}
