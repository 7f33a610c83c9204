// Time between the sets of a report, and before its end.
// Used by the catalogue. Promises one question a report and check, about documentation: how often
// to measure is for the local protocol. Asked only of reports that tell how their call ended.
#pragma once

#include <vitalproof/checks/abnormal.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

namespace detail {

/// Contacts under ten minutes are too short for a second set.
inline constexpr std::int64_t short_contact = 600;

/// The crew's time with the patient, where it was long enough and the patient alive.
constexpr std::optional<contact> whole_contact(const care_report& r) {
    if (!had_a_patient(r) || ended_as(r, disposition::unknown)) {
        return std::nullopt;
    }
    const auto whole = contact_of(r);
    // A set before the patient was reached: then the times are in question, not the gaps.
    const auto first = first_own(r);
    const bool doubtful = first && seconds_after(r, *first, call_time::at_patient).value_or(0) < 0;
    return whole && !doubtful && whole->seconds() >= short_contact ? whole : std::nullopt;
}

/// Whether a set is one of the crew's own with a time within the contact and a vital sign.
constexpr bool counts_in(const care_report& r, std::size_t set, const contact& whole) {
    const auto& taken = r.sets[set].taken_at;
    return taken && is_own(r, set) && seconds_of(*taken) <= whole.to;
}

inline constexpr std::string_view gap_context =
    "Only where the report tells how the call ended and this crew had the patient for ten minutes "
    "or more; silent without a patient, of one dead on scene and for sets by others.";

}  // namespace detail

struct gap_between_sets {
    static constexpr check_info info{
        .code = "gap.between_sets",
        .title = "A long time between two sets",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "This set comes {gap} after the one before. Was one taken in between, and is it in the "
            "documentation?",
        .expected = "a set within {unstable} of an abnormal one, within {stable} of another",
        .why =
            "Half again beyond the usual five and fifteen minutes, so that a set a little late is "
            "nobody's question. The first such gap of a report.",
        .source = "common practice, no source",
        .context =
            "Only where the report tells how the call ended and this crew had the patient for ten "
            "minutes or more; silent without a patient, of one dead on scene and in known arrest. "
            "A set with abnormal signs is followed more closely.",
        .about = "taken_at",
    };
    struct limits : detail::abnormal_limits<limits> {
        minutes_value unstable = real{7.5} * minute;
        minutes_value stable = real{22.5} * minute;
        static constexpr auto fields() {
            constexpr std::string_view five =
                "5 minutes and half again: common practice, no source";
            constexpr std::string_view fifteen =
                "15 minutes and half again: common practice, no source";
            return std::tuple_cat(
                std::tuple{own_limit<limits, units::minute>{"unstable", &limits::unstable, five},
                           own_limit<limits, units::minute>{"stable", &limits::stable, fifteen}},
                abnormal_fields());
        }
    };

    /// Seconds since the crew's set before, where those are too many.
    static constexpr std::optional<std::int64_t> gap_before(const care_report& r, std::size_t set,
                                                            const detail::contact& whole,
                                                            const limits& l) {
        if (!detail::counts_in(r, set, whole) || detail::known_of(r, set).is(fact::arrest)) {
            return std::nullopt;
        }
        for (std::size_t i = set; i-- > 0;) {
            if (detail::counts_in(r, i, whole)) {
                const bool abnormal =
                    detail::abnormal_signs(r.sets[i], detail::is_child(r), l) != 0;
                const auto gap =
                    seconds_of(*r.sets[set].taken_at) - seconds_of(*r.sets[i].taken_at);
                const bool long_gap =
                    static_cast<double>(gap) > detail::seconds_in(abnormal ? l.unstable : l.stable);
                return long_gap ? std::optional(gap) : std::nullopt;
            }
        }
        return std::nullopt;
    }

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        const auto whole = detail::whole_contact(r);
        if (!whole || !gap_before(r, set, *whole, l)) {
            return false;
        }
        for (std::size_t i = 0; i < set; ++i) {
            if (gap_before(r, i, *whole, l)) {
                return false;
            }
        }
        return true;
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits& l, Evidence& e) {
        const auto gap = gap_before(r, set, *detail::whole_contact(r), l);
        e.add("gap", detail::minutes_from(*gap));
    }
};

struct gap_one_set {
    static constexpr check_info info{
        .code = "gap.one_set",
        .title = "One set for the whole contact",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "This is the only set of a contact of {contact}. Was a second one taken, and is it in "
            "the documentation?",
        .expected = "two sets or more in a contact of {from} or more",
        .why = "One set shows no course.",
        .source = "common practice, no source",
        .context = detail::gap_context,
        .about = "taken_at",
    };
    struct limits {
        minutes_value from = real{15} * minute;
        static constexpr auto fields() {
            return std::tuple{
                own_limit<limits, units::minute>{"from", &limits::from, detail::no_source}};
        }
    };

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        for (std::size_t i = 0; i < r.sets.size(); ++i) {
            if (i != set && detail::is_own(r, i)) {
                return false;
            }
        }
        const auto whole = detail::whole_contact(r);
        return whole && static_cast<double>(whole->seconds()) >= detail::seconds_in(l.from) &&
               detail::counts_in(r, set, *whole);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t /*set*/, const limits&, Evidence& e) {
        e.add("contact", detail::minutes_from(detail::whole_contact(r)->seconds()));
    }
};

struct gap_before_handover {
    static constexpr check_info info{
        .code = "gap.before_handover",
        .title = "No set in the last minutes before handover",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::completeness,
        .sign = sign_id::systolic,
        .question =
            "The last set was taken {gap} before the handover at {handover}. Was one taken later, "
            "and is it in the documentation?",
        .expected = "a set within {within} of the handover",
        .why =
            "What the hospital was given is compared with the last set. Waiting at the hospital "
            "still needs sets; after the handover they may be the hospital's.",
        .source = "common practice, no source",
        .context =
            "Only where the report tells when the patient was handed over and this crew had the "
            "patient for ten minutes or more; silent for sets by others and without a patient.",
        .about = "taken_at",
    };
    struct limits {
        minutes_value within = real{15} * minute;
        static constexpr auto fields() {
            return std::tuple{own_limit<limits, units::minute>{
                "within", &limits::within,
                "10 minutes and half again: common practice, no source"}};
        }
    };

    static constexpr bool fires_in(const care_report& r, std::size_t set, const limits& l) {
        const auto after = detail::seconds_after(r, set, call_time::transfer_of_care);
        if (!after || static_cast<double>(-*after) <= detail::seconds_in(l.within)) {
            return false;
        }
        for (std::size_t i = set + 1; i < r.sets.size(); ++i) {
            if (detail::is_own(r, i)) {
                return false;
            }
        }
        const auto whole = detail::whole_contact(r);
        return whole && detail::counts_in(r, set, *whole);
    }
    template <class Evidence>
    static void explain(const care_report& r, std::size_t set, const limits&, Evidence& e) {
        const auto after = detail::seconds_after(r, set, call_time::transfer_of_care);
        e.add("gap", detail::minutes_from(-*after));
        e.add({"handover", *r.call->at(call_time::transfer_of_care)});
    }
};

using gap_family = check_list<gap_between_sets, gap_one_set, gap_before_handover>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
