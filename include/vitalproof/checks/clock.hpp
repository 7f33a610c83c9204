// Clocks: sets out of order, in the future, at a time that a change of clocks skips or repeats.
// Used by the catalogue. Promises one question a report and check about order and future, since a
// clock that is off is off for all of it.
#pragma once

#include <vitalproof/checks/of_report.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

struct clock_order {
    static constexpr check_info info{
        .code = "clock.order",
        .title = "A set charted below a later one",
        .asks = asks::query,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "This set lies {behind} before the one that is charted above it. Please check the two "
            "times.",
        .expected = "sets in the order of their times",
        .why =
            "An order broken in one place is mostly one wrong time; neighbours are taken in the "
            "order of the times. The first such set of a report.",
        .source = "common practice, no source",
        .context =
            "Silent for a report charted whole from its last set to its first, where one of the "
            "two was sent by a monitor, and for a set taken before this crew's care.",
        .about = "taken_at",
    };
    using limits = no_limits;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return r.sets[set].behind.count() > 0 && detail::is_own(r, set) &&
               !detail::known_of(r, set).is(fact::captured);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        e.add("behind", detail::minutes_from(r.sets[set].behind.count()));
    }
};

struct clock_future {
    static constexpr check_info info{
        .code = "clock.future",
        .title = "A set in the future",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "This set is charted for a time that had not come when the report was audited. Please "
            "check the date and the time.",
        .expected = "not after {as_of}",
        .why = "The first such set of a report; a clock or a date is off.",
        .source = "common practice, no source",
        .context =
            "A time without an offset from UTC may be of any place, so it counts as future only "
            "where it is so everywhere. Silent where the moment of the audit is not known.",
        .about = "taken_at",
    };
    struct limits {
        minutes_value by = real{10} * minute;
        static constexpr auto fields() {
            return std::tuple{
                own_limit<limits, units::minute>{"by", &limits::by, detail::no_source}};
        }
    };

    /// Clocks run up to 14 hours ahead of UTC (IANA time zone database: Pacific/Kiritimati).
    static constexpr std::int64_t most_ahead = std::int64_t{14} * 3600;

    static constexpr bool is_in_question(const care_report& r, std::size_t set, const limits& l) {
        const auto& taken = r.sets[set].taken_at;
        if (!r.as_of || !taken || taken->elapsed) {
            return false;
        }
        const std::int64_t earliest = seconds_of(*taken) - (taken->utc_offset ? 0 : most_ahead);
        const std::int64_t ahead = earliest - r.as_of->time_since_epoch().count();
        return static_cast<double>(ahead) > detail::seconds_in(l.by);
    }
    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        return detail::is_first_in_question<clock_future>(r, set, l);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t, const limits&, Evidence& e) {
        e.add({"as_of", set_time{.local = std::chrono::local_seconds(r.as_of->time_since_epoch()),
                                 .utc_offset = std::chrono::minutes(0)}});
    }
};

struct clock_no_such_time {
    static constexpr check_info info{
        .code = "clock.no_such_time",
        .title = "A local time that the change of clocks skipped",
        .asks = asks::query,
        .priority = priority::low,
        .kind = kind::conformance,
        .sign = sign_id::systolic,
        .question =
            "No clock showed this time: that night the clocks went forward over it. Was the "
            "charting clock still on the old time?",
        .expected = "a time that the place's clocks showed",
        .why = "A clock that was not moved shows such times, and all after it are an hour early.",
        .source = "IANA time zone database",
        .context =
            "Only where the time zone of the place is given, and of times charted without an "
            "offset from UTC.",
        .about = "taken_at",
    };
    using limits = no_limits;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        const auto& taken = r.sets[set].taken_at;
        return taken && taken->doubt == local_doubt::skipped;
    }
    template <class Evidence>
    static void explain(const care_report&, std::size_t, const limits&, Evidence&) {}
};

struct clock_time_twice {
    static constexpr check_info info{
        .code = "clock.time_twice",
        .title = "A local time that came twice",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::conformance,
        .sign = sign_id::systolic,
        .question =
            "This time came twice: that night the clocks went back over it. Which of the two is "
            "meant?",
        .expected = "a time with its offset from UTC",
        .why =
            "Gaps and order around it cannot be told. Clocks are at nobody's choice here, so it is "
            "for the reviewer.",
        .source = "IANA time zone database",
        .context =
            "Only where the time zone of the place is given, and of times charted without an "
            "offset from UTC.",
        .about = "taken_at",
    };
    using limits = no_limits;

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits&) {
        const auto& taken = r.sets[set].taken_at;
        return taken && taken->doubt == local_doubt::twice;
    }
    template <class Evidence>
    static void explain(const care_report&, std::size_t, const limits&, Evidence&) {}
};

using clock_family = check_list<clock_order, clock_future, clock_no_such_time, clock_time_twice>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
