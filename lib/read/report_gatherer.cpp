#include "read/report_gatherer.hpp"

#include <iterator>
#include <utility>

namespace vitalproof::read {

bool could_be_one(const care_report& a, const care_report& b) {
    const bool crews_differ = !a.crew.empty() && !b.crew.empty() && a.crew != b.crew;
    const bool calls_differ =
        !a.incident.empty() && !b.incident.empty() && a.incident != b.incident;
    const bool ages_differ = a.age && b.age && *a.age != *b.age;
    return !crews_differ && !calls_differ && !ages_differ;
}

void fill_gaps(care_report& earlier, const care_report& later) {
    if (earlier.crew.empty()) {
        earlier.crew = later.crew;
    }
    if (earlier.device.empty()) {
        earlier.device = later.device;
    }
    if (earlier.incident.empty()) {
        earlier.incident = later.incident;
    }
    if (!earlier.age) {
        earlier.age = later.age;
    }
    if (!earlier.call) {
        earlier.call = later.call;
    }
    earlier.known = later.known.overlaid_by(earlier.known);
}

report_gatherer::report_gatherer(report_taker& to, const gathering_bounds& bounds)
    : to_(to), bounds_(bounds), closed_(bounds.closed) {
    grow();
}

care_report& report_gatherer::begin_run(std::string_view id) {
    if (open_count() == ring_.size()) {
        grow();
    }
    open_report& next = at(next_);
    next.hash = hash_of(id);
    // What is remembered of it is fetched meanwhile. The table is larger than the cache that is at
    // hand: to wait for it took as long as to read a row.
    __builtin_prefetch(&closed_at(next.hash));
    care_report& run = next.report;
    run.id.assign(id);
    run.crew.clear();
    run.device.clear();
    run.incident.clear();
    run.age.reset();
    run.known = {};
    run.call.reset();
    run.sets.clear();
    return run;
}

void report_gatherer::add(std::uint64_t first_line) {
    care_report& run = at(next_).report;
    const std::size_t hash = at(next_).hash;
    const std::uint64_t place = find(run.id, hash);
    if (place == nowhere) {
        if (closed_at(hash) == hash) {
            to_.identifier_again(first_line);
        }
        open(first_line);
        return;
    }
    open_report& earlier = at(place);
    const bool one = could_be_one(earlier.report, run);
    if (one && earlier.report.sets.size() + run.sets.size() <= bounds_.sets) {
        join(earlier, run);
        return;
    }
    if (!one) {
        to_.identifier_again(first_line);  // else it is a report too long to be held whole
    }
    open(first_line);
}

std::uint64_t report_gatherer::find(std::string_view id, std::size_t hash) {
    std::uint64_t place = chain_of(hash);
    while (place != nowhere && (at(place).hash != hash || at(place).report.id != id)) {
        place = at(place).older;
    }
    return place;
}

void report_gatherer::join(open_report& earlier, care_report& run) {
    ++joined_;
    sets_ += run.sets.size();
    care_report& report = earlier.report;
    report.sets.insert(report.sets.end(), std::make_move_iterator(run.sets.begin()),
                       std::make_move_iterator(run.sets.end()));
    fill_gaps(report, run);
    while (sets_ > bounds_.sets && open_count() > 1) {
        give_oldest();
    }
}

void report_gatherer::open(std::uint64_t first_line) {
    open_report& opened = at(next_);
    sets_ += opened.report.sets.size();
    while (open_count() != 0 && (open_count() >= bounds_.reports || sets_ > bounds_.sets)) {
        give_oldest();
    }
    opened.first_line = first_line;
    opened.older = std::exchange(chain_of(opened.hash), next_);
    ++next_;
}

// The oldest of all is the last of its chain.
void report_gatherer::give_oldest() {
    open_report& oldest = at(given_);
    std::uint64_t* link = &chain_of(oldest.hash);
    while (*link != given_) {
        link = &at(*link).older;
    }
    *link = nowhere;
    ++given_;
    sets_ -= oldest.report.sets.size();
    closed_at(oldest.hash) = oldest.hash;
    to_.take(oldest.report, oldest.first_line);
}

void report_gatherer::grow() {
    constexpr std::size_t first_room = 64;  // a power of two, so that a place is found by its bits
    std::vector<open_report> larger(ring_.empty() ? first_room : 2 * ring_.size());
    for (std::uint64_t place = given_; place < next_; ++place) {
        larger[place & (larger.size() - 1)] = std::move(at(place));
    }
    ring_ = std::move(larger);
    chains_.assign(2 * ring_.size(), nowhere);
    for (std::uint64_t place = given_; place < next_; ++place) {
        at(place).older = std::exchange(chain_of(at(place).hash), place);
    }
}

void report_gatherer::finish() {
    while (open_count() != 0) {
        give_oldest();
    }
}

}  // namespace vitalproof::read
