// The record path: the catalogue over care reports.
// Used by charting tools for one report and by the program for millions. Promises findings in the
// order of reports, sets and the catalogue, and that one report or many at once give the same.
#pragma once

#include <vitalproof/care_report.hpp>
#include <vitalproof/explain/explainer.hpp>
#include <vitalproof/finding.hpp>
#include <vitalproof/follower.hpp>
#include <vitalproof/order.hpp>
#include <vitalproof/report_groups.hpp>
#include <vitalproof/report_neighbours.hpp>
#include <vitalproof/run.hpp>

#include <algorithm>
#include <array>
#include <bit>
#include <concepts>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

/// Whether it takes, beside the findings of a set, the report as it was examined.
template <class F>
inline constexpr bool takes_report_too =
    std::invocable<F, std::span<const finding>, const care_report&>;

template <class F>
concept FindingsTaker = takes_report_too<F> || std::invocable<F, std::span<const finding>>;

/// Examines reports one after another. Sets gather in a block of 256 rows until it is full, since
/// the kernel costs the same for one row as for 32; a full block waits for the next, which holds
/// the neighbours of its last rows. Not for use by two threads at once.
class examiner {
public:
    /// Checks of a whole report go over its sets for every set, so of one that holds more than any
    /// call does they are not asked.
    static constexpr std::size_t most_sets_asked = 1024;

    /// Keeps a copy of the limits.
    explicit examiner(const limits& in_force = {})
        : in_force_(in_force), flags_(std::make_unique<block_flags>()) {}

    /// Takes a report's content and leaves `report` with buffers to be used again. Its sets are
    /// put in the order of their times where all have one. Calls `on_set` with the findings of a
    /// set, for every set that has any, as blocks fill.
    template <FindingsTaker OnSet>
    void add(care_report& report, OnSet&& on_set) {
        put_in_order(report);
        if (!report.sets.empty()) {
            add_sets_of(reports_.add(report), on_set);
        }
    }

    /// The same for a report that was put in order before, and stays where and as it is until the
    /// next `finish`.
    template <FindingsTaker OnSet>
    void add_lent(const care_report& report, OnSet&& on_set) {
        if (!report.sets.empty()) {
            add_sets_of(reports_.lend(report), on_set);
        }
    }

    /// Examines what has gathered since the last full block.
    template <FindingsTaker OnSet>
    void finish(OnSet&& on_set) {
        pad_rows(filling_->block);
        if (waiting_) {
            examine_rows(*waiting_, &filling_->block, on_set);
        }
        examine_rows(*filling_, nullptr, on_set);
        reports_.release_before(std::numeric_limits<std::uint64_t>::max());
    }

private:
    struct row_origin {
        std::uint64_t report;
        std::size_t set;
        bool tells_more;
    };
    struct rows_of_reports {
        lane_block block;
        std::array<row_origin, block_rows> origins;
        bool any_to_ask = false;  // whether a check of reports may have something to say
    };

    static std::unique_ptr<rows_of_reports> make_rows() {
        auto made = std::make_unique_for_overwrite<rows_of_reports>();
        made->block.followed = true;
        return made;
    }

    template <class OnSet>
    void add_sets_of(std::uint64_t number, OnSet&& on_set) {
        // By place: a block examined on the way may move the reports.
        const report_lanes lanes =
            lanes_of_report(reports_.at(number).known, reports_.at(number).age);
        const std::size_t sets = reports_.at(number).sets.size();
        const bool tells_more = tells_of_more_than_values(reports_.at(number));
        for (std::size_t set = 0; set < sets;) {
            const std::size_t room = block_rows - filling_->block.rows;
            const std::size_t many = std::min(sets - set, room);
            put(std::span(reports_.at(number).sets).subspan(set, many), lanes,
                {number, set, tells_more});
            filling_->any_to_ask = filling_->any_to_ask || tells_more;
            set += many;
            if (many == room) {
                turn_over(on_set);
            }
        }
    }

    /// Reports whose sets lie in a block, by number, in a ring: a place taken again lends its
    /// buffers to whoever brings the next report.
    class held_reports {
    public:
        std::uint64_t add(care_report& report) {
            held& place = next_place();
            place.lent = nullptr;
            swap(place.own, report);
            // Else a reader that does not fill these would give another's.
            report.places.clear();
            report.device.clear();
            report.incident.clear();
            report.call.reset();
            report.as_of.reset();
            return next_++;
        }
        std::uint64_t lend(const care_report& report) {
            next_place().lent = &report;
            return next_++;
        }
        const care_report& at(std::uint64_t number) const {
            const held& place = ring_[number & (ring_.size() - 1)];
            return place.lent != nullptr ? *place.lent : place.own;
        }
        void release_before(std::uint64_t number) { first_ = std::min(number, next_); }

    private:
        struct held {
            const care_report* lent = nullptr;  // else its own
            care_report own{};
        };

        held& next_place() {
            if (next_ - first_ == ring_.size()) {
                grow();
            }
            return ring_[next_ & (ring_.size() - 1)];
        }
        void grow() {
            std::vector<held> larger(2 * ring_.size());
            for (std::uint64_t number = first_; number < next_; ++number) {
                larger[number & (larger.size() - 1)] =
                    std::move(ring_[number & (ring_.size() - 1)]);
            }
            ring_ = std::move(larger);
        }

        // A power of two, so that a place is found by its bits.
        std::vector<held> ring_ = std::vector<held>(4);
        std::uint64_t first_ = 0;
        std::uint64_t next_ = 0;
    };

    // Whether checks of a whole report may have something to say of this one, a tube aside: its
    // source tells of its call, its patient was just born, or its times are in doubt.
    static bool tells_of_more_than_values(const care_report& report) {
        bool captured = false;
        bool by_hand = false;
        const bool just_born = facts_of_age(report.age).is(fact::just_born);
        return just_born || report.call ||
               std::ranges::any_of(report.sets, [&](const vital_set& set) {
                   const facts known = report.known.overlaid_by(set.known);
                   captured = captured || known.is(fact::captured);
                   by_hand = by_hand || known.is_not(fact::captured);
                   return set.behind.count() != 0 || (captured && by_hand) ||
                          (set.taken_at &&
                           (set.taken_at->doubt != local_doubt::none ||
                            (report.as_of && seconds_of(*set.taken_at) >
                                                 report.as_of->time_since_epoch().count())));
               });
    }

    void put(std::span<const vital_set> sets, const report_lanes& lanes, row_origin origin) {
        lane_block& block = filling_->block;
        put_rows(block, block.rows, sets, lanes);
        for (const vital_set& set : sets) {
            block.places[block.rows] = {
                origin.report, set.taken_at ? seconds_of(*set.taken_at) : row_place::no_time};
            filling_->any_to_ask = filling_->any_to_ask || has_tube(block, block.rows);
            // Member by member: a copy would wait for the number that was just put there.
            row_origin& here = filling_->origins[block.rows++];
            here.report = origin.report;
            here.set = origin.set++;
            here.tells_more = origin.tells_more;
        }
    }

    // The block that waited is examined, the one that is full waits.
    template <class OnSet>
    void turn_over(OnSet&& on_set) {
        if (waiting_) {
            examine_rows(*waiting_, &filling_->block, on_set);
        } else {
            waiting_ = make_rows();
        }
        std::swap(waiting_, filling_);
        reports_.release_before(waiting_->origins[0].report);
    }

    // `next` holds the rows behind them; null where there are none.
    template <class OnSet>
    void examine_rows(rows_of_reports& rows, const lane_block* next, OnSet&& on_set) {
        if (rows.block.rows != 0) {
            follow(rows.block, next, followed_);
            examine_block(rows, on_set);
            rows.block.rows = 0;
            rows.any_to_ask = false;
        }
    }

    template <class OnSet>
    void examine_block(const rows_of_reports& rows, OnSet&& on_set) {
        run_catalogue(rows.block, in_force_, *flags_);
        const block_bits fired = gather_fired();
        for (std::size_t w = 0; w * word_rows < rows.block.rows; ++w) {
            const std::size_t left = rows.block.rows - w * word_rows;
            const flag_word of_block =
                left < word_rows ? (flag_word{1} << left) - 1 : ~flag_word{0};
            flag_word asked = (rows.any_to_ask ? ~flag_word{0} : fired[w]) & of_block;
            for (; asked != 0; asked &= asked - 1) {
                const auto bit = static_cast<std::size_t>(std::countr_zero(asked));
                tell_row(rows, w * word_rows + bit, on_set);
            }
        }
    }

    template <class OnSet>
    void tell_row(const rows_of_reports& rows, std::size_t row, OnSet&& on_set) {
        found_count_ = 0;
        for (const std::size_t check : fired_checks_) {
            if ((flags_->fired[check][row / word_rows] >> (row % word_rows) & 1U) != 0) {
                add_finding(rows, check, row);
            }
        }
        if (rows.any_to_ask) {
            ask_of_report(rows, row);
        }
        if (found_count_ != 0) {
            const row_origin& origin = rows.origins[row];
            explainer_.explain(std::span(found_.data(), found_count_), reports_.at(origin.report),
                               origin.set, in_force_);
            hand_over(rows.origins[row].report, on_set);
        }
    }

    template <class OnSet>
    void hand_over(std::uint64_t report, OnSet&& on_set) const {
        const std::span<const finding> found(found_.data(), found_count_);
        if constexpr (takes_report_too<OnSet>) {
            on_set(found, reports_.at(report));
        } else {
            on_set(found);
        }
    }

    static bool has_tube(const lane_block& block, std::size_t row) {
        return (block.yes[row] & bit_of(fact::airway_tube)) != 0;
    }

    // The checks of a whole report, put where the catalogue has them.
    void ask_of_report(const rows_of_reports& rows, std::size_t row) {
        const row_origin origin = rows.origins[row];
        const care_report& report = reports_.at(origin.report);
        if ((!origin.tells_more && !has_tube(rows.block, row)) ||
            report.sets.size() > most_sets_asked) {
            return;
        }
        const std::size_t before = found_count_;
        for (const auto& [concerns, first, end] : detail::report_groups) {
            if (concerns != nullptr && !concerns(report, origin.set)) {
                continue;
            }
            for (std::size_t place = first; place < end; ++place) {
                const std::size_t check = checks_of_reports[place];
                if (in_force_.is_on(check) &&
                    detail::report_table[check].fires(report, origin.set, in_force_)) {
                    add_finding(rows, check, row);
                }
            }
        }
        if (found_count_ != before) {
            std::ranges::stable_sort(std::span(found_.data(), found_count_), {}, &finding::check);
        }
    }

    // The checks that fired, and the rows in which any of them did.
    block_bits gather_fired() {
        block_bits rows{};
        fired_checks_.clear();
        if (!flags_->any_fired_at_all) {
            return rows;
        }
        for (std::size_t check = 0; check < check_count; ++check) {
            if (flags_->any_fired[check]) {
                fired_checks_.push_back(check);
                for (std::size_t w = 0; w < block_words; ++w) {
                    rows[w] |= flags_->fired[check][w];
                }
            }
        }
        return rows;
    }

    // In a place used before, where there is one: a finding is large, and has buffers.
    void add_finding(const rows_of_reports& rows, std::size_t check, std::size_t row) {
        if (found_count_ == found_.size()) {
            found_.emplace_back();
        }
        finding& f = found_[found_count_++];
        const row_origin origin = rows.origins[row];
        const care_report& report = reports_.at(origin.report);
        const vital_set& set = report.sets[origin.set];
        f.check = check;
        f.report = report.id;
        f.crew = report.crew;
        f.device = report.device;
        f.set = origin.set + 1;
        f.taken_at = set.taken_at;
        f.line = set.line;
        if (!report.places.empty()) {
            f.place = place_of(check, report.places[origin.set]);
        } else if (set.group != 0) {
            f.place = place_in_group(check, set.group);
        } else {
            f.place.clear();
        }
        f.evidence.clear();
        f.part_of = nullptr;
        f.unit_stated = true;
        f.perhaps = {};
        f.known = facts::from_bits(rows.block.yes[row], rows.block.no[row]);
        if (check_of_report[check]) {
            detail::report_table[check].explain(report, origin.set, in_force_, f.evidence);
            return;
        }
        const std::uint32_t signs =
            check_needs[check] | check_sees[check] | (1U << index_of(check_table[check].sign));
        for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
            if ((signs >> index_of(S::info.id) & 1U) != 0) {
                f.evidence.add(evidence_of(set, s));
            }
        });
        if (check_follows[check] != 0) {
            add_neighbours(f, report, origin.set);
        }
        detail::explain_table[check](rows.block.readings_of(row), f.evidence);
    }

    // Of the reading a finding is about; where that one is missing, of the first that it rests on.
    static std::string place_of(std::size_t check, const places_of_set& places) {
        const std::string& own = places[index_of(check_table[check].sign)];
        const std::uint32_t signs = check_needs[check] | check_sees[check];
        for (std::size_t sign = 0; own.empty() && sign < sign_count; ++sign) {
            if ((signs >> sign & 1U) != 0 && !places[sign].empty()) {
                return places[sign];
            }
        }
        return own;
    }

    // As the national standard names its groups and elements.
    static std::string place_in_group(std::size_t check, std::uint32_t group) {
        const check_info& info = check_table[check];
        std::string place = "eVitals.VitalGroup[" + std::to_string(group) + "]";
        if (info.about.empty()) {
            place.append("/").append(describe(info.sign).element);
        } else if (info.about == "taken_at") {
            place.append("/eVitals.01");
        }
        return place;
    }

    // Seldom reached, so the neighbours are looked for again: by the follower's rules.
    static void add_neighbours(finding& f, const care_report& report, std::size_t set) {
        for_each_sign(followed_signs{}, [&]<VitalSign S>(S) {
            if ((check_follows[f.check] >> index_of(S::info.id) & 1U) != 0) {
                add_neighbour<S>(f, report, set, neighbour_of<S>(report, set, -1),
                                 evidence_place::before);
                add_neighbour<S>(f, report, set, neighbour_of<S>(report, set, 1),
                                 evidence_place::after);
            }
        });
    }

    template <VitalSign S>
    static void add_neighbour(finding& f, const care_report& report, std::size_t set,
                              std::optional<std::size_t> other, evidence_place where) {
        if (!other) {
            return;
        }
        evidence_reading r = evidence_of(report.sets[*other], S{});
        r.where = where;
        r.set = *other + 1;
        f.evidence.add(r);
        const auto& from = report.sets[set].taken_at;
        const auto& to = report.sets[*other].taken_at;
        if (S::info.id == f.info().sign && from && to) {
            const auto apart = static_cast<double>(seconds_of(*to) - seconds_of(*from)) / 60;
            f.evidence.add(where == evidence_place::before ? "since" : "until",
                           quantity<units::minute>::from_value(apart < 0 ? -apart : apart));
        }
    }

    follower followed_;  // first, as it is laid out by whole lines of memory
    limits in_force_;
    std::unique_ptr<rows_of_reports> filling_ = make_rows();
    std::unique_ptr<rows_of_reports> waiting_{};  // from the first full block on
    std::unique_ptr<block_flags> flags_;
    held_reports reports_;
    std::vector<std::size_t> fired_checks_;
    std::vector<finding> found_;  // the first so many are the row's
    std::size_t found_count_ = 0;
    explainer explainer_;
};

/// The findings of one report.
inline std::vector<finding> examine(care_report report, const limits& in_force = {}) {
    std::vector<finding> all_findings;
    const auto keep = [&](std::span<const finding> of_set) {
        all_findings.insert(all_findings.end(), of_set.begin(), of_set.end());
    };
    examiner one(in_force);
    one.add(report, keep);
    one.finish(keep);
    return all_findings;
}

}  // namespace vitalproof::inline VITALPROOF_ABI
