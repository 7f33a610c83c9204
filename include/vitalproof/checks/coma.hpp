// The coma score: its parts against its total, and against responsiveness.
// Used by the catalogue. Promises not to fault a score whose parts were not given, nor a total
// that a tube limits.
#pragma once

#include <vitalproof/checks/impossible.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

struct coma_sum {
    static constexpr check_info info{
        .code = "coma.sum",
        .title = "Coma score is not the sum of its parts",
        .asks = asks::reject,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::coma_total,
        .question =
            "The coma score total {coma_total} is charted with eye {coma_eye}, verbal "
            "{coma_verbal} and motor {coma_motor}, which add up to {sum}. Which of the "
            "four needs correcting?",
        .expected = "{sum}",
        .why = "The total is defined as the sum.",
        .source = "the scale's definition (NEMSIS v3.5.0 data dictionary)",
        .context = "",
    };
    using needs = sign_list<sign::coma_eye, sign::coma_verbal, sign::coma_motor, sign::coma_total>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return is_farther_than(v.of<difference::coma_total_above_sum>(), real{0} * points);
    }

    static constexpr bool fires(const readings& r, const context&, const limits&) {
        return all(is_farther_than(difference::coma_total_above_sum::of(r), real{0} * points),
                   !coma_parts_not_given(r));
    }

    template <class Evidence>
    static void explain(const readings& r, Evidence& evidence) {
        evidence.add("sum", difference::coma_total_above_sum::sum(r));
    }
};

struct coma_parts_zero {
    static constexpr check_info info{
        .code = "coma.parts_zero",
        .title = "Coma score parts all zero beside a total",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::conformance,
        .sign = sign_id::coma_total,
        .question =
            "The coma score parts are charted as 0/0/0 beside total {coma_total}. Was only "
            "the total taken?",
        .expected = "parts of at least 1, or parts left out with a reason",
        .why = "Some systems write 0/0/0 for \"total only\"; the total is taken as it stands.",
        .source = "CRASH-2 trial data, where about 8 % of rows do so",
        .context = "",
    };
    using needs = sign_list<sign::coma_eye, sign::coma_verbal, sign::coma_motor, sign::coma_total>;
    using sees = sign_list<>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return reaches_zero<sign::coma_eye>(v);
    }

    static constexpr bool fires(const readings& r, const context&, const limits&) {
        return all(r.value<sign::coma_eye>().value() == real{0}, coma_parts_not_given(r),
                   r.value<sign::coma_total>() > real{0} * points);
    }
};

/// Responsiveness and score far apart: no usual reason joins them.
struct coma_against_responsiveness {
    static constexpr check_info info{
        .code = "coma.against_responsiveness",
        .title = "Coma score against responsiveness",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .sign = sign_id::responsiveness,
        .question =
            "The patient is charted as {responsiveness} with coma score {coma_total} (eye "
            "{coma_eye}, motor {coma_motor}). Which of the two is right?",
        .expected = "a score that goes with the responsiveness charted",
        .why =
            "Alert with eye 2 or less or total 10 or less; painful with 14 or more; "
            "unresponsive with eye 2 or more, motor 5 or more, or total 9 or more.",
        .source = "common practice, no source",
        .context =
            "With a tube in place the total is not compared with alert: verbal cannot be "
            "tested. Under sedation or paralysis no score is compared with unresponsive: the two "
            "are charted for what was seen before the drug and after it.",
    };
    using needs = sign_list<sign::responsiveness>;
    using sees = sign_list<sign::coma_eye, sign::coma_motor, sign::coma_total>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return any(v.value<sign::coma_eye>().value() <= 2,
                   v.value<sign::coma_total>().value() <= 10,
                   v.value<sign::responsiveness>().value() >=
                       static_cast<real>(responsiveness_level::painful));
    }

    static constexpr bool fires(const readings& r, const context& c, const limits&) {
        // Comparisons with a score that has no number are false, as they should be.
        const real eye = r.value<sign::coma_eye>().value();
        const real motor = r.value<sign::coma_motor>().value();
        const real total = r.value<sign::coma_total>().value();
        const bool eyes_shut = all(eye >= 1, eye <= 2);
        const bool low_total = all(total >= 3, total <= 10, !c.is(fact::airway_tube));
        const bool alert = all(r.is_at<sign::responsiveness>(responsiveness_level::alert),
                               any(eyes_shut, low_total));
        const bool painful =
            all(r.is_at<sign::responsiveness>(responsiveness_level::painful), total >= 14);
        const bool unresponsive =
            all(r.is_at<sign::responsiveness>(responsiveness_level::unresponsive),
                any(eye >= 2, motor >= 5, total >= 9), !c.is(fact::sedated));
        return any(alert, painful, unresponsive);
    }
};

/// Responsiveness and score a step apart: common, and never a question to the crew.
struct coma_near_responsiveness {
    static constexpr check_info info{
        .code = "coma.near_responsiveness",
        .title = "Coma score a step off responsiveness",
        .asks = asks::notice,
        .priority = priority::low,
        .kind = kind::plausibility,
        .sign = sign_id::responsiveness,
        .question =
            "The patient is charted as {responsiveness} with coma score {coma_total} (eye "
            "{coma_eye}). Do the two belong together?",
        .expected = "15 when alert; eyes open to voice when verbal",
        .why =
            "Confused patients who are awake are often charted so; 6 % of trauma patients with "
            "eyes open spontaneously total under 14.",
        .source = "CRASH-2 trial data, counted; otherwise common practice, no source",
        .context = "",
    };
    using needs = sign_list<sign::responsiveness>;
    using sees = sign_list<sign::coma_eye, sign::coma_motor, sign::coma_total>;
    using limits = no_limits;

    static constexpr bool strays(const extreme_values& v, const limits&) {
        return any(v.value<sign::coma_total>().value() <= 13,
                   v.value<sign::responsiveness>().value() >=
                       static_cast<real>(responsiveness_level::verbal));
    }

    static constexpr bool fires(const readings& r, const context& c, const limits& l) {
        const real eye = r.value<sign::coma_eye>().value();
        const real total = r.value<sign::coma_total>().value();
        const bool near =
            any(all(r.is_at<sign::responsiveness>(responsiveness_level::alert), total >= 11,
                    total <= 13),
                all(r.is_at<sign::responsiveness>(responsiveness_level::verbal), eye == 4));
        return all(near, !coma_against_responsiveness::fires(r, c, l));
    }
};

using coma_family =
    check_list<coma_sum, coma_parts_zero, coma_against_responsiveness, coma_near_responsiveness>;

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
