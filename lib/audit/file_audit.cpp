#include "audit/file_audit.hpp"

#include <vitalproof/order.hpp>

#include <algorithm>
#include <utility>

#if defined(__GLIBC__)
#include <malloc.h>
#endif

namespace vitalproof::audit {

namespace {

constexpr std::size_t most_sets_waiting = 8192;  // one long report may be more
constexpr std::size_t most_bytes_waiting = std::size_t{8} << 20;
constexpr std::size_t bytes_of_a_set = most_bytes_waiting / most_sets_waiting;

/// More would wait for the one that reads: to read and to count is a third of the work.
constexpr unsigned most_threads = 8;

std::size_t threads_for(const options& chosen) {
    return std::clamp(chosen.threads, 1U, most_threads);
}

/// With one thread a piece is done as soon as it is filled; with several each has some to take.
constexpr std::size_t pieces_for(std::size_t threads) { return threads == 1 ? 1 : 4 * threads; }

/// The findings of a piece take a tenth of this; a report of many sets may have more.
constexpr std::size_t most_untold = std::size_t{1} << 20;

/// What is made of a text goes into its piece. Rows that could not be read may be a million in one
/// report: of so many those at hand are told at once.
class made_reports final : public read::sink {
public:
    made_reports(piece& into, work_ring::turn in_order, observer& to)
        : into_(into), in_order_(in_order), to_(to) {}

    void report(care_report& report, std::uint64_t first_line) override {
        into_.report(report, first_line);
    }
    void unread(const read::unread_row& row) override {
        into_.unread(row);
        if (into_.has_many_unread()) {
            in_order_.wait_until_oldest();
            into_.tell_unread(to_);
        }
    }

private:
    piece& into_;
    work_ring::turn in_order_;
    observer& to_;
};

/// A report that comes next lies no longer in the cache that is at hand: it was read a hundred
/// reports ago, and what was found since lies there.
void fetch_sets(const care_report& next) {
    constexpr std::size_t line = 64;
    constexpr std::size_t most = 64 * line;
    const auto* bytes = reinterpret_cast<const char*>(next.sets.data());
    const std::size_t size = std::min(next.sets.size() * sizeof(vital_set), most);
    for (std::size_t at = 0; at < size; at += line) {
        __builtin_prefetch(bytes + at, 1);
    }
}

/// What other threads have freed is else kept for them, and they are at their end.
void give_back_memory() {
#if defined(__GLIBC__)
    malloc_trim(0);
#endif
}

}  // namespace

file_audit::file_audit(const options& chosen, account& total, observer& to)
    : chosen_(chosen),
      total_(total),
      to_(to),
      batch_(chosen.in_force),
      pieces_(pieces_for(threads_for(chosen))),
      ring_(threads_for(chosen) - 1, pieces_.size(), most_bytes_waiting,
            {.work =
                 [this](std::size_t place, std::size_t by, work_ring::turn in_order) {
                     work_on(pieces_[place], workers_[by], in_order);
                 },
             .end = [this](std::size_t place) { end(pieces_[place]); }}) {
    for (std::size_t i = 0; i < threads_for(chosen); ++i) {
        workers_.emplace_back(chosen.in_force);
    }
}

void file_audit::begin(const std::string& file) {
    file_ = file;
    columns_.reset();
    halves_ = nullptr;
}

void file_audit::understood(const read::understanding& columns) {
    columns_.emplace(file_, columns, chosen_.in_force, total_.batch);
    for (const batch_entry* entry : columns_->found()) {
        total_.counts.add_finding(entry->about);
        to_.found(entry->about);
    }
}

void file_audit::report(care_report& report, std::uint64_t first_line) {
    filling().report(report, first_line);
    if (filling().is_full()) {
        hand_over();
    }
}

void file_audit::unread(const read::unread_row& row) {
    filling().unread(row);
    if (filling().is_full()) {
        hand_over();
    }
}

void file_audit::hand_over() { ring_.hand_over(filling().sets() * bytes_of_a_set); }

void file_audit::run(read::halved_reading& reading) {
    halves_ = &reading;
    for (worker& one : workers_) {
        one.reads = reading.new_second_half();
    }
    for (piece& one : pieces_) {
        one.text = reading.new_block();
    }
    while (reading.part(*filling().text)) {
        ring_.hand_over(filling().text->bytes());
    }
    finish();
    for (piece& one : pieces_) {
        one.text.reset();
    }
}

void file_audit::finish() {
    if (!filling().is_empty()) {
        hand_over();
    }
    ring_.finish();
}

void file_audit::work_on(piece& now, worker& by, work_ring::turn in_order) {
    if (now.text) {
        made_reports into(now, in_order, to_);
        by.reads->read(*now.text, into);
    }
    examine(now, by, in_order);
}

void file_audit::examine(piece& now, worker& by, work_ring::turn in_order) {
    if (!now.told) {
        now.told = to_.new_part();
    }
    const auto on_set = [&](std::span<const finding> of_set, const care_report& of_report) {
        take(of_set, of_report, now, by);
        if (now.told->bytes() > most_untold) {
            in_order.wait_until_oldest();
            to_.take(*now.told);
        }
    };
    // All that goes over the sets of a report, while they are in the cache that is at hand.
    for (std::size_t i = 0; i < now.reports().size(); ++i) {
        care_report& report = now.reports()[i];
        if (i + 1 < now.reports().size()) {
            fetch_sets(now.reports()[i + 1]);
        }
        put_in_order(report);
        report.as_of = chosen_.as_of;
        now.counts.add_report(report);
        batch_.gather(report, i, now.of_batch);
        by.with.add_lent(report, on_set);
    }
    by.with.finish(on_set);
    // Given up while they are in this thread's cache.
    for (care_report& report : now.reports()) {
        report.sets.clear();
    }
}

void file_audit::take(std::span<const finding> of_set, const care_report& of_report, piece& now,
                      worker& by) {
    if (columns_ && columns_->concern(of_set)) {  // FHIR and XML have no columns
        by.marked.assign(of_set.begin(), of_set.end());
        columns_->mark(by.marked);
        of_set = by.marked;
    }
    now.counts.add_findings(of_set);
    device_clocks::gather(of_set, now.of_batch.shifts);
    now.told->found(file_, of_set, of_report);
}

void file_audit::end(piece& now) {
    if (now.text) {
        halves_->account_for(*now.text);
    }
    // In the order of reports, since names and pairs of sets that come first are those kept.
    total_.counts.add(now.counts);
    for (std::size_t i = 0; i < now.reports().size(); ++i) {
        total_.counts.add_sets(now.reports()[i], now.sets_of_reports()[i]);
    }
    batch_.add(now.reports(), now.of_batch);
    if (now.told) {
        to_.take(*now.told);
    }
    now.tell_unread(to_);
    now.clear();
}

void file_audit::finish_batch() {
    // Nothing more is examined, and what the batch is asked takes tables of its own.
    pieces_.clear();
    workers_.clear();
    give_back_memory();
    batch_.finish([this](batch_finding&& f) {
        total_.batch.push_back({std::move(f), 0});
        total_.counts.add_finding(total_.batch.back().about);
        to_.found(total_.batch.back().about);
    });
    total_.repeated_not_told = batch_.repeated_not_told();
}

}  // namespace vitalproof::audit
