// The one shift of a clock that would put a report in order, and what it would explain.
// Used by the catalogue. Promises an explanation for the reviewer, never an edit: it is offered
// where one shift mends every time that stands outside its call, and it counts what it would mend
// by the very checks that ask about those times.
#pragma once

#include <vitalproof/checks/clock.hpp>
#include <vitalproof/checks/standard.hpp>

#include <array>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

/// The checks that ask about a set's time against its call's, or against the audit's.
using time_checks = check_list<standard_before_notified, standard_before_patient,
                               standard_after_transfer, standard_after_service, clock_future>;

constexpr bool is_time_in_question(const care_report& r, std::size_t set) {
    bool any = false;
    for_each_check(time_checks{}, [&]<class C>() {
        any = any || C::is_in_question(r, set, typename C::limits{});
    });
    return any;
}

constexpr bool is_any_time_in_question(const care_report& r) {
    for (std::size_t i = 0; i < r.sets.size(); ++i) {
        if (is_time_in_question(r, i)) {
            return true;
        }
    }
    return false;
}

/// Findings about times in the report: one a check.
constexpr std::size_t findings_about_times(const care_report& r) {
    std::size_t findings = 0;
    for_each_check(time_checks{}, [&]<class C>() {
        for (std::size_t i = 0; i < r.sets.size(); ++i) {
            findings += C::fires_in(r, i, typename C::limits{}) ? 1U : 0U;
        }
    });
    return findings;
}

/// Which sets a shift moves.
enum class moved : std::uint8_t {
    all,       ///< the crew's own
    captured,  ///< those a monitor sent
    one,       ///< the only one in question
};

inline bool moves(moved which, const care_report& r, std::size_t set, std::size_t first) {
    if (!r.sets[set].taken_at || !is_own(r, set)) {
        return false;
    }
    return which == moved::all || (which == moved::one && set == first) ||
           (which == moved::captured && known_of(r, set).is(fact::captured));
}

/// Looking longer at a report this long would cost more than its explanation is worth.
inline constexpr std::size_t most_sets_to_shift = 500;

/// Shifts in minutes by which clocks are off, the likeliest first: an hour of summer time, twelve
/// hours, a day, other whole hours, other quarters.
inline std::vector<std::int64_t> shifts_of(moved which) {
    std::vector<std::int64_t> shifts;
    const auto add = [&](std::int64_t minutes) {
        if (std::ranges::find(shifts, minutes) == shifts.end()) {
            shifts.insert(shifts.end(), {minutes, -minutes});
        }
    };
    for (const std::int64_t minutes : {60, 720, 1440}) {  // an hour, half a day, a day
        add(minutes);
    }
    for (std::int64_t hours = 2; hours < 24; ++hours) {
        add(hours * 60);
    }
    // One set that was typed wrong is off by an hour's digits, not by a clock's quarters.
    for (std::int64_t quarters = 1; which != moved::one && quarters < std::int64_t{4} * 24;
         ++quarters) {
        add(quarters * 15);
    }
    return shifts;
}

struct mending_shift {
    std::int64_t minutes = 0;
    std::size_t removes = 0;  ///< findings
};

/// The first shift of those sets after which no time of the report is in question.
inline std::optional<mending_shift> mending_shift_of(const care_report& r, moved which,
                                                     std::size_t first) {
    care_report tried = r;
    for (const std::int64_t minutes : shifts_of(which)) {
        for (std::size_t i = 0; i < r.sets.size(); ++i) {
            if (moves(which, r, i, first)) {
                tried.sets[i].taken_at->local =
                    r.sets[i].taken_at->local + std::chrono::minutes(minutes);
            }
        }
        if (!is_any_time_in_question(tried)) {
            return mending_shift{minutes, findings_about_times(r)};
        }
    }
    return std::nullopt;
}

/// Whether a set's time is in question and a shift might be why.
inline bool may_be_shifted(const care_report& r, std::size_t set) {
    return r.sets.size() <= most_sets_to_shift && r.call && is_own(r, set) &&
           is_time_in_question(r, set) &&
           std::ranges::any_of(r.call->times, [](const auto& at) { return at.has_value(); });
}

/// Which explanation a report admits, if its first set in question is `set`: of its own sets in
/// question, one among several, all that a monitor sent, or more.
inline std::optional<moved> shifted_in(const care_report& r, std::size_t set) {
    if (!may_be_shifted(r, set)) {
        return std::nullopt;
    }
    std::size_t in_question = 0;
    std::size_t by_hand_in_question = 0;
    std::size_t own = 0;
    std::size_t captured = 0;
    for (std::size_t i = 0; i < r.sets.size(); ++i) {
        const bool faulty = is_time_in_question(r, i);
        if (faulty && i < set) {
            return std::nullopt;
        }
        const bool sent = known_of(r, i).is(fact::captured);
        own += is_own(r, i) ? 1U : 0U;
        captured += is_own(r, i) && sent ? 1U : 0U;
        in_question += faulty ? 1U : 0U;
        by_hand_in_question += faulty && !sent ? 1U : 0U;
    }
    if (captured != 0 && captured < own && by_hand_in_question == 0) {
        return moved::captured;
    }
    return in_question == 1 && own > 1 ? moved::one : moved::all;
}

inline std::optional<mending_shift> shift_at(const care_report& r, std::size_t set, moved which) {
    return shifted_in(r, set) == which ? mending_shift_of(r, which, set) : std::nullopt;
}

template <class Evidence>
void add_shift(Evidence& e, const mending_shift& shift) {
    e.add("shift", minutes_from((shift.minutes < 0 ? -shift.minutes : shift.minutes) * 60));
    e.add("removes", quantity<units::point, real>::from_value(static_cast<real>(shift.removes)));
}

inline constexpr std::string_view shift_why =
    "An explanation for the reviewer: it counts the findings about times that the shift would "
    "remove, and changes none of them. Whole and quarter hours up to a day were tried, an hour, "
    "twelve hours and a day first.";
inline constexpr std::string_view shift_context =
    "Only where the report tells the times of its call, and of sets that this crew took.";

constexpr check_info shift_info(std::string_view code, std::string_view title,
                                std::string_view question) {
    return {.code = code,
            .title = title,
            .asks = asks::notice,
            .priority = priority::normal,
            .kind = kind::plausibility,
            .sign = sign_id::systolic,
            .question = question,
            .expected = "times within the call",
            .why = shift_why,
            .source = no_source,
            .context = shift_context,
            .about = "taken_at"};
}

/// A shift of some sets in one direction.
template <moved Which, bool Later>
struct shift_check {
    using limits = no_limits;
    static constexpr auto concerns = &may_be_shifted;

    static std::optional<mending_shift> found(const care_report& r, std::size_t set) {
        const auto shift = shift_at(r, set, Which);
        return shift && (shift->minutes > 0) == Later ? shift : std::nullopt;
    }
    static bool fires_in(const care_report& r, std::size_t set, const limits&) {
        return found(r, set).has_value();
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        add_shift(e, *found(r, set));
    }
};

}  // namespace detail

struct clock_slow : detail::shift_check<detail::moved::all, true> {
    static constexpr auto info = detail::shift_info(
        "clock.slow", "One shift mends the report: the clock was slow",
        "If every set of this report were {shift} later, all would fall within the call "
        "(findings this would remove: {removes}). Was the charting clock slow?");
};

struct clock_fast : detail::shift_check<detail::moved::all, false> {
    static constexpr auto info = detail::shift_info(
        "clock.fast", "One shift mends the report: the clock was fast",
        "If every set of this report were {shift} earlier, all would fall within the call "
        "(findings this would remove: {removes}). Was the charting clock fast?");
};

struct clock_monitor_slow : detail::shift_check<detail::moved::captured, true> {
    static constexpr auto info = detail::shift_info(
        "clock.monitor_slow", "One shift mends the report: the monitor's clock was slow",
        "If the sets that the monitor sent were {shift} later, all would fall within the call "
        "(findings this would remove: {removes}). Was the monitor's clock slow?");
};

struct clock_monitor_fast : detail::shift_check<detail::moved::captured, false> {
    static constexpr auto info = detail::shift_info(
        "clock.monitor_fast", "One shift mends the report: the monitor's clock was fast",
        "If the sets that the monitor sent were {shift} earlier, all would fall within the "
        "call (findings this would remove: {removes}). Was the monitor's clock fast?");
};

struct clock_one_early : detail::shift_check<detail::moved::one, true> {
    static constexpr auto info = detail::shift_info(
        "clock.one_early", "One shift mends the report: one set stands too early",
        "If this one set were {shift} later, it would fall within the call (findings this "
        "would remove: {removes}). Was its hour mistyped?");
};

struct clock_one_late : detail::shift_check<detail::moved::one, false> {
    static constexpr auto info = detail::shift_info(
        "clock.one_late", "One shift mends the report: one set stands too late",
        "If this one set were {shift} earlier, it would fall within the call (findings this "
        "would remove: {removes}). Was its hour mistyped?");
};

/// A monitor whose clock runs beside the chart's: the same values at two times, always as far
/// apart.
struct clock_drift {
    static constexpr check_info info{
        .code = "clock.drift",
        .title = "The monitor's clock and the chart's run apart",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::systolic,
        .question =
            "Sets charted by hand hold the values that the monitor sent {drift} away from them, "
            "this one first. Do the monitor's clock and the chart's run apart?",
        .expected = "one clock, or two that agree within {by}",
        .why =
            "Two or more sets with four of systolic, diastolic, pulse, breathing rate and "
            "saturation alike, both pressures among them, always as far apart to the minute.",
        .source = "common practice, no source",
        .context = "Only where sets sent by a monitor stand beside sets charted by hand.",
        .about = "taken_at",
    };
    struct limits {
        minutes_value by = real{2} * minute;
        static constexpr auto fields() {
            return std::tuple{
                own_limit<limits, units::minute>{"by", &limits::by, detail::no_source}};
        }
    };

    template <VitalSign S>
    static bool is_same(const vital_set& a, const vital_set& b) {
        return a[S{}].is_number() && b[S{}].is_number() && a[S{}].raw() == b[S{}].raw() &&
               a[S{}].raw() != 0;
    }
    static bool are_alike(const vital_set& a, const vital_set& b) {
        const int others = static_cast<int>(is_same<sign::pulse>(a, b)) +
                           static_cast<int>(is_same<sign::respiratory_rate>(a, b)) +
                           static_cast<int>(is_same<sign::saturation>(a, b));
        return is_same<sign::systolic>(a, b) && is_same<sign::diastolic>(a, b) && others >= 2;
    }

    /// How much later than the nearest like set that the monitor sent a set stands that was charted
    /// by hand; zero where there is none.
    static std::int64_t drift_of(const care_report& r, std::size_t by_hand) {
        const vital_set& set = r.sets[by_hand];
        if (!set.taken_at || !detail::known_of(r, by_hand).is_not(fact::captured)) {
            return 0;
        }
        std::int64_t nearest = 0;
        for (std::size_t i = 0; i < r.sets.size(); ++i) {
            const auto& sent = r.sets[i].taken_at;
            if (sent && detail::known_of(r, i).is(fact::captured) && are_alike(set, r.sets[i])) {
                const std::int64_t drift = seconds_of(*set.taken_at) - seconds_of(*sent);
                nearest = nearest == 0 || size(drift) < size(nearest) ? drift : nearest;
            }
        }
        return nearest;
    }
    static std::int64_t size(std::int64_t seconds) { return seconds < 0 ? -seconds : seconds; }

    static bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        if (r.sets.size() > detail::most_sets_to_shift) {
            return false;
        }
        const std::int64_t drift = drift_of(r, set);
        if (static_cast<double>(size(drift)) <= detail::seconds_in(l.by)) {
            return false;
        }
        std::size_t agreeing = 0;
        for (std::size_t i = 0; i < r.sets.size(); ++i) {
            const bool agrees = size(drift_of(r, i) - drift) <= 60;
            if (agrees && i < set) {
                return false;
            }
            agreeing += agrees ? 1U : 0U;
        }
        return agreeing >= 2;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        e.add("drift", detail::minutes_from(size(drift_of(r, set))));
    }
};

using clock_shift_family = check_list<clock_drift, clock_slow, clock_fast, clock_monitor_slow,
                                      clock_monitor_fast, clock_one_early, clock_one_late>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
