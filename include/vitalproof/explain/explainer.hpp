// What was probably meant: the few single slips that would explain a set in doubt, the most
// probable first.
// Used by the examiner once checks have fired, never on a set that raises no question. Promises to
// change nothing, to offer nothing for a dangerous value that may be true, and to allocate nothing.
//
// The model: of the values as charted and of those that each slip would put back, how well they go
// with people, with each other and with the sets around (likelihood.hpp), times how often such a
// slip is made (slip.hpp). What is offered are the probabilities of the slips that would change a
// reading the finding rests on, held against each other and against no slip at all.
#pragma once

#include <vitalproof/explain/candidates.hpp>
#include <vitalproof/explain/harm.hpp>
#include <vitalproof/explain/likelihood.hpp>
#include <vitalproof/finding.hpp>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>
#include <utility>

namespace vitalproof::inline VITALPROOF_ABI {

namespace detail {

/// Checks whose findings may rest on a slip: those of what one set's readings can be, and cells
/// that could not be read. None of a tube, an arrest or a device's own words is among them.
inline constexpr auto may_rest_on_a_slip = [] {
    std::array<bool, check_count> may{};
    for (std::size_t i = 0; i < check_count; ++i) {
        const check_info& info = check_table[i];
        const std::string_view family = info.code.substr(0, info.code.find('.'));
        const bool of_readings = info.kind == kind::plausibility && info.about.empty();
        may[i] = family == "unreadable" || info.code == "pressure.half" ||
                 (of_readings && family != "zero" && info.code != "meter.edge" &&
                  family != "tube" && family != "arrest" && family != "clock" && family != "gap");
    }
    return may;
}();

}  // namespace detail

/// For one thread; keep it from set to set.
class explainer {
public:
    /// Adds to each finding of one set what explains it. `set` counts from 0.
    void explain(std::span<finding> of_set, const care_report& report, std::size_t set,
                 const limits& in_force) {
        std::uint32_t doubtful = 0;
        for (const finding& f : of_set) {
            doubtful |= signs_of(f);
        }
        if (doubtful == 0) {
            return;
        }
        in_force_ = &in_force;
        const set_numbers numbers = numbers_of(report.sets[set]);
        const set_neighbours around = neighbours_of(report, set);
        const set_likelihood model(in_force.signs, report.age, around);
        list_candidates(doubtful, report.sets[set], numbers, around);
        weigh(model, harm_around(in_force.signs, report, set, numbers), numbers);
        std::uint32_t before = 0;
        explanations same{};  // findings on the same readings have the same
        for (finding& f : of_set) {
            if (const std::uint32_t signs = signs_of(f); signs != 0) {
                same = signs == before ? same : offered(signs, model, numbers);
                before = signs;
                f.perhaps = same;
            }
        }
    }

private:
    struct share {
        std::size_t slip = 0;  // its place among the candidates
        float percent = 0;
    };

    /// The signs that a finding rests on, where a slip may be behind it.
    static std::uint32_t signs_of(const finding& f) {
        std::uint32_t signs = 0;
        if (detail::may_rest_on_a_slip[f.check]) {
            for (const evidence_reading& r : f.evidence.readings()) {
                const bool typed = r.state == reading_state::number ||
                                   (r.state == reading_state::unreadable && r.charted.shown());
                signs |= typed && r.where == evidence_place::here ? 1U << index_of(r.sign) : 0U;
            }
        }
        return signs;
    }

    void list_candidates(std::uint32_t doubtful, const vital_set& set, const set_numbers& numbers,
                         const set_neighbours& around) {
        candidates_.begin(numbers, signs_around(around));
        unread_ = 0;
        for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
            if ((doubtful >> index_of(S::info.id) & 1U) == 0) {
                return;
            }
            if (set[s].is_number()) {
                candidates_.of_number(S::info.id);
            } else {
                unread_ |= 1U << index_of(S::info.id);
                candidates_.of_text(S::info.id, set.charted[s].text());
            }
        });
    }

    /// Whatever the form of the source says of a field that is not filled in: what the report
    /// charts elsewhere has a field.
    static std::uint32_t signs_around(const set_neighbours& around) {
        std::uint32_t signs = 0;
        for (std::size_t i = 0; i < sign_count; ++i) {
            signs |= around[i].has(0) || around[i].has(1) ? 1U << i : 0U;
        }
        return signs;
    }

    // Odds of each slip against none.
    void weigh(const set_likelihood& model, const harm_around& harm, const set_numbers& numbers) {
        for (std::size_t i = 0; i < sign_count; ++i) {
            charted_[i] = model.of(static_cast<sign_id>(i), numbers) *
                          ((unread_ >> i & 1U) != 0 ? detail::cannot_be : 1);
        }
        const auto all = candidates_.all();
        for (std::size_t i = 0; i < all.size(); ++i) {
            const bool vain = !is_possible(all[i], model.ranges()) || is_forbidden(all[i], harm);
            odds_[i] = vain ? 0 : odds_of(all[i], model, numbers);
        }
    }

    static bool is_possible(const slip_candidate& c, const sign_limits& ranges) {
        for (std::size_t i = 0; i < c.count; ++i) {
            // NaN, a field left empty, is beyond no range.
            if (is_beyond(ranges.possible[index_of(c.values[i].sign)],
                          to_real(c.values[i].value))) {
                return false;
            }
        }
        return true;
    }

    static bool is_forbidden(const slip_candidate& c, const harm_around& harm) {
        for (std::size_t i = 0; i < c.count; ++i) {
            if (harm.forbids(c.values[i].sign, c.signs)) {
                return true;
            }
        }
        return false;
    }

    double odds_of(const slip_candidate& c, const set_likelihood& model, set_numbers meant) const {
        for (std::size_t i = 0; i < c.count; ++i) {
            meant[index_of(c.values[i].sign)] = c.values[i].value;
        }
        double odds = double{in_force_->explaining.rates[static_cast<std::size_t>(c.what)]} /
                      (100 * double{c.ways});
        for (std::uint32_t left = set_likelihood::leaning_on(c.signs); left != 0;
             left &= left - 1) {
            const auto i = static_cast<std::size_t>(std::countr_zero(left));
            odds *= model.of(static_cast<sign_id>(i), meant) / charted_[i];
        }
        return odds;
    }

    /// Of the slips that change one of the signs, the most probable.
    explanations offered(std::uint32_t signs, const set_likelihood& model,
                         const set_numbers& numbers) {
        const explaining_limits& l = in_force_->explaining;
        const double total = settle_shares(signs);
        explanations perhaps;
        if (100 * total < double{l.together} * (1 + total)) {
            return perhaps;
        }
        // Ways to the same are told as one, which may put it before what was likelier by itself.
        const std::span held(shares_.data(), candidates_.all().size());
        std::array<share, explanations::most + 1> best{};
        for (share& each : best) {
            each.slip = static_cast<std::size_t>(std::ranges::max_element(held) - held.begin());
            each.percent = static_cast<float>(100 * take_share(each.slip) / (1 + total));
        }
        std::ranges::stable_sort(best, std::ranges::greater{}, &share::percent);
        for (const share& each : best) {
            if (each.percent >= l.each && !perhaps.full()) {
                perhaps.add(told(candidates_.all()[each.slip], each.percent, model, numbers));
            }
        }
        return perhaps;
    }

    /// Takes up the odds of the slips that change one of the signs; answers their sum.
    double settle_shares(std::uint32_t signs) {
        const auto all = candidates_.all();
        double total = 0;
        for (std::size_t i = 0; i < all.size(); ++i) {
            shares_[i] = (all[i].signs & signs) != 0 ? odds_[i] : 0;
            total += shares_[i];
        }
        return total;
    }

    /// The odds of a slip and of all others that put back the same, taken out of the rest: a zero
    /// too many may be a digit typed twice.
    double take_share(std::size_t of) {
        const auto all = candidates_.all();
        if (of >= all.size()) {
            return 0;
        }
        double sum = 0;
        for (std::size_t i = 0; i < all.size(); ++i) {
            if (shares_[i] > 0 && all[i].signs == all[of].signs &&
                std::abs(all[i].values[0].value - all[of].values[0].value) < 1e-9) {
                sum += std::exchange(shares_[i], 0.0);
            }
        }
        return sum;
    }

    explanation told(const slip_candidate& c, float percent_of_all, const set_likelihood& model,
                     const set_numbers& numbers) const {
        const explaining_limits& l = in_force_->explaining;
        explanation e;
        e.what = c.what;
        e.how = percent_of_all >= l.strong ? strength::strong
                : percent_of_all >= l.fair ? strength::fair
                                           : strength::slight;
        e.count = c.count;
        e.probability = percent_of_all / 100;
        e.instance = c.instance;
        e.values = c.values;
        set_numbers meant = numbers;
        for (const meant_value& v : e.meant()) {
            meant[index_of(v.sign)] = v.value;
        }
        e.fits = fits_of(c, model, meant);
        return e;
    }

    /// What speaks for a slip, of what the likelihood weighed.
    std::uint8_t fits_of(const slip_candidate& c, const set_likelihood& model,
                         const set_numbers& meant) const {
        bool before = true;
        bool after = true;
        bool usual = true;
        for (std::size_t i = 0; i < c.count; ++i) {
            const std::size_t at = index_of(c.values[i].sign);
            if (const double value = c.values[i].value; !std::isnan(value)) {
                before = before && model.is_near(at, value, 0);
                after = after && model.is_near(at, value, 1);
                usual = usual && !is_beyond(in_force_->signs.usual[at], to_real(value));
            }
        }
        const auto bit = [](fit f, bool holds) {
            return static_cast<unsigned>(holds) << static_cast<unsigned>(f);
        };
        return static_cast<std::uint8_t>(
            bit(fit::before, before) | bit(fit::after, after) | bit(fit::usual, usual) |
            bit(fit::mean, set_likelihood::fits_mean(c.signs, meant)) |
            bit(fit::rate, set_likelihood::fits_rate(c.signs, meant)) |
            bit(fit::coma_score, set_likelihood::fits_coma_score(c.signs, meant)));
    }

    const limits* in_force_ = nullptr;  // of the set at hand
    slip_candidates candidates_{};
    std::array<double, sign_count> charted_{};  // how likely each number is as charted
    std::array<double, slip_candidates::most> odds_{};
    std::array<double, slip_candidates::most> shares_{};  // of one finding, until they are told
    std::uint32_t unread_ = 0;
};

}  // namespace vitalproof::inline VITALPROOF_ABI
