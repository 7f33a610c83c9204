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
#include <vitalproof/run.hpp>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
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
        may[i] =
            family == "unreadable" || info.code == "pressure.half" ||
            (of_readings && family != "zero" && info.code != "meter.edge" && family != "tube" &&
             family != "arrest" && family != "clock" && family != "gap" && family != "repeated");
    }
    return may;
}();

}  // namespace detail

/// For one thread; keep it from set to set.
class explainer {
public:
    /// A mistake that is none of the slips, two of them at once or another patient's reading, may
    /// leave any number where a likely one belongs: of so many, one. It is never offered, and
    /// others are less sure for it.
    static constexpr double any_number = 100;

    /// Adds to each finding of one set what explains it. `set` counts from 0.
    void explain(std::span<finding> of_set, const care_report& report, std::size_t set,
                 const limits& in_force) {
        std::uint32_t doubtful = 0;
        accounted_for_ = 0;
        for (const finding& f : of_set) {
            doubtful |= signs_of(f);
            accounted_for_ |= accounted_for_by(f);
        }
        doubtful &= ~accounted_for_;
        if (doubtful == 0) {
            return;
        }
        in_force_ = &in_force;
        const set_numbers numbers = numbers_of(report.sets[set]);
        const set_neighbours around = neighbours_of(report, set);
        const set_likelihood model(in_force.signs, report.age, around);
        const harm_around harm(in_force.signs, report, set, numbers);
        list_candidates(doubtful, report.sets[set], numbers, around, model);
        weigh(doubtful, model, harm, numbers);
        std::uint32_t before = 0;
        explanations same{};  // findings on the same readings have the same
        for (finding& f : of_set) {
            if (const std::uint32_t signs = signs_of(f) & ~accounted_for_; signs != 0) {
                same = signs == before ? same : offered(signs, model, numbers);
                before = signs;
                f.perhaps = same;
            }
        }
    }

private:
    /// Odds so low that no sum of them makes an offer.
    static constexpr double hopeless = 1e-6;

    struct share {
        std::size_t slip = 0;  // its place among the candidates
        float percent = 0;
    };
    struct weighed {
        std::size_t slip = 0;
        double odds = 0;
        double share = 0;  // of one finding's, until it is told
        bool forbidden = false;
    };

    /// What a check has an explanation of its own for: a monitor that counts twice.
    static std::uint32_t accounted_for_by(const finding& f) {
        return f.info().code == "rate.double_count" ? 1U << index_of(sign_id::ecg_rate) : 0U;
    }

    /// The signs that a finding rests on, where a slip may be behind it.
    static std::uint32_t signs_of(const finding& f) {
        std::uint32_t signs = 0;
        if (detail::may_rest_on_a_slip[f.check]) {
            const bool among_neighbours = check_follows[f.check] != 0;
            for (const evidence_reading& r : f.evidence.readings()) {
                const bool typed = r.state == reading_state::number ||
                                   (r.state == reading_state::unreadable && r.charted.shown());
                const bool rested_on = !among_neighbours || r.sign == f.info().sign;
                signs |= typed && rested_on && r.where == evidence_place::here
                             ? 1U << index_of(r.sign)
                             : 0U;
            }
        }
        return signs;
    }

    void list_candidates(std::uint32_t doubtful, const vital_set& set, const set_numbers& numbers,
                         const set_neighbours& around, const set_likelihood& model) {
        candidates_.begin(numbers, signs_around(around), model.is_among_fine(), in_force_->signs);
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

    // Odds of each slip against none. What is hopeless is not looked at again; what harm forbids is
    // not offered, and counts against all others: it may be what happened.
    void weigh(std::uint32_t doubtful, const set_likelihood& model, const harm_around& harm,
               const set_numbers& numbers) {
        const auto all = candidates_.all();
        std::uint32_t concerned = doubtful;
        for (const slip_candidate& c : all) {
            concerned |= c.signs;
        }
        for_each_bit(set_likelihood::leaning_on(concerned), [&](std::size_t i) {
            is_charted_[i] = !std::isnan(numbers[i]);
            over_charted_[i] = is_charted_[i] ? 1 / model.of(static_cast<sign_id>(i), numbers) : 1;
        });
        weighed_count_ = 0;
        best_.fill(0);
        set_numbers meant = numbers;
        for (std::size_t i = 0; i < all.size(); ++i) {
            const double least = hopeless_beside(all[i].signs);
            const double odds = odds_of(all[i], least, model, numbers, meant);
            if (odds > least) {
                weighed_[weighed_count_++] = {i, odds, 0, is_forbidden(all[i], harm)};
                for_each_bit(all[i].signs,
                             [&](std::size_t sign) { best_[sign] = std::max(best_[sign], odds); });
            }
        }
    }

    static bool is_forbidden(const slip_candidate& c, const harm_around& harm) {
        for (std::size_t i = 0; i < c.count; ++i) {
            if (harm.forbids(c.values[i].sign, c.signs)) {
                return true;
            }
        }
        return false;
    }

    /// `meant` holds the numbers as charted, before and after.
    double odds_of(const slip_candidate& c, double least, const set_likelihood& model,
                   const set_numbers& numbers, set_numbers& meant) const {
        const double rate = double{in_force_->explaining.rates[static_cast<std::size_t>(c.what)]};
        const double chance = rate / (100 * double{c.ways});
        if (is_too_far_off(c, chance, least, model)) {
            return 0;
        }
        for (std::size_t i = 0; i < c.count; ++i) {
            meant[index_of(c.values[i].sign)] = c.values[i].value;
        }
        const std::uint32_t leaning = set_likelihood::leaning_on(c.signs) & ~c.signs;
        double odds = against_charted(c.signs, chance, model, numbers, meant);
        // What leans on these can at best become the likeliest there is.
        if (odds * ceiling(leaning) > least) {
            odds = against_charted(leaning, odds, model, numbers, meant);
        }
        for (std::size_t i = 0; i < c.count; ++i) {
            const std::size_t at = index_of(c.values[i].sign);
            meant[at] = numbers[at];
        }
        return odds;
    }

    /// Whether the sets around alone make it hopeless, were all else as likely as can be: so it is
    /// with most, which are then not looked at further.
    bool is_too_far_off(const slip_candidate& c, double chance, double least,
                        const set_likelihood& model) const {
        double odds = chance * ceiling(set_likelihood::leaning_on(c.signs));
        for (std::size_t i = 0; i < c.count; ++i) {
            const std::size_t at = index_of(c.values[i].sign);
            if (!is_charted_[at]) {
                return false;  // nothing to hold it against
            }
            odds *= model.near_neighbours(at, c.values[i].value);
        }
        constexpr double rounding = 1e-9;
        return odds < least * (1 - rounding);
    }

    double ceiling(std::uint32_t signs) const {
        double product = 1;
        for_each_bit(signs, [&](std::size_t sign) { product *= over_charted_[sign]; });
        return product;
    }

    /// What is so much less likely than another slip of the same signs is not offered, and all of
    /// it together, 256 at most, changes a probability by less than three hundredths.
    double hopeless_beside(std::uint32_t signs) const {
        double best = std::numeric_limits<double>::infinity();
        for_each_bit(signs, [&](std::size_t sign) { best = std::min(best, best_[sign]); });
        return std::max(hopeless, 1e-4 * best);
    }

    template <class Each>
    static void for_each_bit(std::uint32_t bits, Each&& each) {
        for (; bits != 0; bits &= bits - 1) {
            each(static_cast<std::size_t>(std::countr_zero(bits)));
        }
    }

    double against_charted(std::uint32_t signs, double odds, const set_likelihood& model,
                           const set_numbers& numbers, const set_numbers& meant) const {
        for_each_bit(
            signs, [&](std::size_t sign) { odds *= against_charted(sign, model, numbers, meant); });
        return odds;
    }

    /// How much likelier a sign is as it was meant. What is neither charted nor meant is as likely.
    double against_charted(std::size_t i, const set_likelihood& model, const set_numbers& numbers,
                           const set_numbers& meant) const {
        const auto id = static_cast<sign_id>(i);
        if (is_charted_[i]) {
            return model.of(id, meant) * over_charted_[i];
        }
        if (std::isnan(meant[i])) {
            return 1;
        }
        const double unread = (unread_ >> i & 1U) != 0 ? detail::cannot_be : 1;
        return model.of(id, meant) / (model.of(id, numbers) * unread);
    }

    /// Of the slips that change one of the signs, the most probable.
    explanations offered(std::uint32_t signs, const set_likelihood& model,
                         const set_numbers& numbers) {
        const explaining_limits& l = in_force_->explaining;
        const auto [total, offerable] = settle_shares(signs);
        explanations perhaps;
        if (100 * offerable < double{l.together} * (1 + total)) {
            return perhaps;
        }
        // Ways to the same are told as one, which may put it before what was likelier by itself.
        const std::span held(weighed_.data(), weighed_count_);
        std::array<share, explanations::most + 1> best{};
        for (share& each : best) {
            const auto most = std::ranges::max_element(held, {}, &weighed::share);
            if (most != held.end()) {
                each.slip = most->slip;
                each.percent = static_cast<float>(100 * take_share(most->slip) / (1 + total));
            }
        }
        std::ranges::stable_sort(best, std::ranges::greater{}, &share::percent);
        const double that_it_is_listed = (1 + total) / (1 + total + odds_of_no_slip(signs, model));
        for (const share& each : best) {
            const auto percent = static_cast<float>(each.percent * that_it_is_listed);
            if (percent > 0 && percent >= l.each && !perhaps.full()) {
                perhaps.add(told(candidates_.all()[each.slip], percent, model, numbers));
            }
        }
        return perhaps;
    }

    struct sums {
        double total = 0;
        double offerable = 0;
    };

    /// Takes up the odds of the slips that change one of the signs and may be offered.
    sums settle_shares(std::uint32_t signs) {
        sums all;
        for (weighed& each : std::span(weighed_).first(weighed_count_)) {
            const bool concerns = (candidates_.all()[each.slip].signs & signs) != 0;
            each.share = concerns && !each.forbidden ? each.odds : 0;
            all.total += concerns ? each.odds : 0;
            all.offerable += each.share;
        }
        return all;
    }

    /// Odds of a mistake that is none of the slips, as common as a wrong digit: what should stand
    /// there instead is then as likely as can be.
    double odds_of_no_slip(std::uint32_t signs, const set_likelihood& model) const {
        const double rate =
            double{in_force_->explaining.rates[static_cast<std::size_t>(slip::mistyped)]};
        double odds = 0;
        for_each_bit(signs, [&](std::size_t sign) {
            if (is_charted_[sign]) {
                odds += model.charted(static_cast<sign_id>(sign)) * over_charted_[sign];
            }
        });
        return rate / (100 * any_number) * odds;
    }

    /// The odds of a slip and of all others that put back the same, taken out of the rest: a zero
    /// too many may be a digit typed twice.
    double take_share(std::size_t of) {
        const auto all = candidates_.all();
        double sum = 0;
        for (weighed& each : std::span(weighed_).first(weighed_count_)) {
            const slip_candidate& c = all[each.slip];
            if (each.share > 0 && c.signs == all[of].signs &&
                std::abs(c.values[0].value - all[of].values[0].value) < 1e-9) {
                sum += std::exchange(each.share, 0.0);
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
    // Of the signs that a slip may concern, and those that lean on them.
    std::array<bool, sign_count> is_charted_{};
    std::array<double, sign_count> over_charted_{};  // 1 by how likely each number is
    std::array<double, sign_count> best_{};          // odds of the slips of each
    std::array<weighed, slip_candidates::most> weighed_{};
    std::size_t weighed_count_ = 0;
    std::uint32_t unread_ = 0;
    std::uint32_t accounted_for_ = 0;
};

}  // namespace vitalproof::inline VITALPROOF_ABI
