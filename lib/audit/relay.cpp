#include "audit/relay.hpp"

#include "audit/quiet_thread.hpp"

#include <utility>

namespace vitalproof::audit {

relay::~relay() {
    {
        const std::lock_guard lock(mutex_);
        abandoned_ = true;
    }
    end();
}

void relay::report(care_report& report, std::uint64_t first_line) {
    piece& filling = ring_[filled_ % pieces];
    if (filling.report_count == filling.reports.size()) {
        filling.reports.emplace_back();
    }
    taken_report& kept = filling.reports[filling.report_count++];
    filling.set_count += report.sets.size();
    swap(kept.report, report);
    kept.first_line = first_line;
    if (filling.set_count >= sets_in_piece) {
        hand_over();
    }
}

void relay::unread(const read::unread_row& row) {
    piece& filling = ring_[filled_ % pieces];
    filling.unread.push_back({std::string(row.file), row.line, std::string(row.column), row.text,
                              std::string(row.reason), std::string(row.remedy)});
    if (filling.unread.size() >= sets_in_piece) {
        hand_over();
    }
}

// Waits until a piece is free to be filled, and until the sets of long reports are taken.
void relay::hand_over() {
    if (!other_.joinable()) {
        other_ = start_without_signals([this] { take_pieces(); });
    }
    std::unique_lock lock(mutex_);
    sets_waiting_ += ring_[filled_ % pieces].set_count;
    ++filled_;
    more_.notify_one();
    if (filled_ - taken_ == pieces || sets_waiting_ > most_sets_waiting) {
        room_.wait(lock, [this] { return has_room(); });
    }
    if (thrown_) {
        std::rethrow_exception(std::exchange(thrown_, {}));
    }
}

bool relay::has_room() const {
    return filled_ - taken_ <= few_pieces && sets_waiting_ <= most_sets_waiting;
}

void relay::take_pieces() {
    for (;;) {
        std::unique_lock lock(mutex_);
        more_.wait(lock, [this] { return taken_ != filled_ || ended_; });
        if (taken_ == filled_) {
            return;
        }
        piece& next = ring_[taken_ % pieces];
        const bool abandoned = abandoned_;
        lock.unlock();
        std::exception_ptr thrown;
        try {
            if (!abandoned) {
                take(next);
            }
        } catch (...) {
            thrown = std::current_exception();
        }
        lock.lock();
        if (thrown) {
            thrown_ = thrown;
            abandoned_ = true;
        }
        sets_waiting_ -= next.set_count;
        next.report_count = 0;
        next.set_count = 0;
        next.unread.clear();
        ++taken_;
        if (has_room()) {
            room_.notify_one();
        }
    }
}

void relay::take(piece& next) {
    for (std::size_t i = 0; i < next.report_count; ++i) {
        to_.report(next.reports[i].report, next.reports[i].first_line);
    }
    for (const kept_row& row : next.unread) {
        to_.unread({.file = row.file,
                    .line = row.line,
                    .column = row.column,
                    .text = row.text,
                    .reason = row.reason,
                    .remedy = row.remedy});
    }
}

void relay::end() {
    if (other_.joinable()) {
        {
            const std::lock_guard lock(mutex_);
            ended_ = true;
        }
        more_.notify_one();
        other_.join();
    }
}

void relay::finish() {
    hand_over();
    end();
    if (thrown_) {
        std::rethrow_exception(std::exchange(thrown_, {}));
    }
}

}  // namespace vitalproof::audit
