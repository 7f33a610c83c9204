// The record path: the catalogue over care reports.
// Used by charting tools for one report and by the program for millions. Promises findings in the
// order of reports, sets and the catalogue, and that one report or many at once give the same.
#pragma once

#include <vitalproof/care_report.hpp>
#include <vitalproof/finding.hpp>
#include <vitalproof/run.hpp>

#include <array>
#include <bit>
#include <concepts>
#include <cstddef>
#include <memory>
#include <span>
#include <utility>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

/// Examines reports one after another. Sets gather in a block of 256 rows until it is full, since
/// the kernel costs the same for one row as for 32. Not for use by two threads at once.
class examiner {
public:
    /// Keeps a copy of the limits.
    explicit examiner(const limits& in_force = {})
        : in_force_(in_force),
          block_(std::make_unique<lane_block>()),
          flags_(std::make_unique<block_flags>()) {}

    /// Takes a report's content and leaves `report` with buffers to be used again. Calls `on_set`
    /// with the findings of a set, for every set that has any, as blocks fill.
    template <std::invocable<std::span<const finding>> OnSet>
    void add(care_report& report, OnSet&& on_set) {
        if (report.sets.empty()) {
            return;
        }
        if (used_ == pending_.size()) {
            pending_.emplace_back();
        }
        std::swap(pending_[used_], report);
        report.places.clear();  // else a reader that gives none would give another's
        std::size_t taken = used_++;
        const report_lanes lanes = lanes_of_report(pending_[taken].known, pending_[taken].age);
        for (std::size_t set = 0; set < pending_[taken].sets.size(); ++set) {
            put_row(*block_, block_->rows, pending_[taken].sets[set], lanes);
            rows_[block_->rows++] = {taken, set};
            if (block_->rows == block_rows) {
                examine_block(on_set);
                std::swap(pending_.front(), pending_[taken]);  // those before it are done
                taken = 0;
                used_ = 1;
            }
        }
        if (block_->rows == 0) {
            used_ = 0;
        }
    }

    /// Examines what has gathered since the last full block.
    template <std::invocable<std::span<const finding>> OnSet>
    void finish(OnSet&& on_set) {
        if (block_->rows != 0) {
            examine_block(on_set);
        }
        used_ = 0;
    }

private:
    struct row_origin {
        std::size_t report;
        std::size_t set;
    };

    template <class OnSet>
    void examine_block(OnSet&& on_set) {
        pad_rows(*block_);
        run_catalogue(*block_, in_force_, *flags_);
        gather_fired();
        for (std::size_t row = 0; row < block_->rows && !fired_checks_.empty(); ++row) {
            found_.clear();
            for (const std::size_t check : fired_checks_) {
                if ((flags_->fired[check][row / word_rows] >> (row % word_rows) & 1U) != 0) {
                    found_.push_back(make_finding(check, row));
                }
            }
            if (!found_.empty()) {
                on_set(std::span<const finding>(found_));
            }
        }
        block_->rows = 0;
    }

    void gather_fired() {
        fired_checks_.clear();
        for (std::size_t check = 0; check < check_count; ++check) {
            if (flags_->any_fired[check]) {
                fired_checks_.push_back(check);
            }
        }
    }

    finding make_finding(std::size_t check, std::size_t row) const {
        const care_report& report = pending_[rows_[row].report];
        const vital_set& set = report.sets[rows_[row].set];
        finding f;
        f.check = check;
        f.report = report.id;
        f.crew = report.crew;
        f.set = rows_[row].set + 1;
        f.taken_at = set.taken_at;
        f.line = set.line;
        if (!report.places.empty()) {
            f.place = place_of(check, report.places[rows_[row].set]);
        }
        f.known = facts::from_bits(block_->yes[row], block_->no[row]);
        const std::uint32_t signs =
            check_needs[check] | check_sees[check] | (1U << index_of(check_table[check].sign));
        for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
            const auto& r = set[s];
            if ((signs >> index_of(S::info.id) & 1U) != 0) {
                f.evidence.add(
                    evidence_reading{S::info.id, r.state(), r.why_absent(), r.raw(), r.charted()});
            }
        });
        detail::explain_table[check](block_->readings_of(row), f.evidence);
        return f;
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

    limits in_force_;
    std::unique_ptr<lane_block> block_;
    std::unique_ptr<block_flags> flags_;
    std::vector<care_report> pending_;
    std::size_t used_ = 0;
    std::array<row_origin, block_rows> rows_{};
    std::vector<std::size_t> fired_checks_;
    std::vector<finding> found_;
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
