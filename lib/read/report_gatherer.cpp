#include "read/report_gatherer.hpp"

#include <functional>
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
    : to_(to), bounds_(bounds), closed_(bounds.closed) {}

void report_gatherer::add(care_report& run, std::uint64_t first_line) {
    const auto found = place_of_.find(run.id);
    if (found == place_of_.end()) {
        if (seen_before(run.id)) {
            to_.identifier_again(first_line);
        }
        open(run, first_line);
        return;
    }
    open_report& earlier = open_[found->second - given_];
    const bool one = could_be_one(earlier.report, run);
    if (one && earlier.report.sets.size() + run.sets.size() <= bounds_.sets) {
        join(earlier, run);
        return;
    }
    if (!one) {
        to_.identifier_again(first_line);  // else it is a report too long to be held whole
    }
    place_of_.erase(found);  // the later one goes by the identifier from here on
    open(run, first_line);
}

void report_gatherer::join(open_report& earlier, care_report& run) {
    ++joined_;
    sets_ += run.sets.size();
    care_report& report = earlier.report;
    report.sets.insert(report.sets.end(), std::make_move_iterator(run.sets.begin()),
                       std::make_move_iterator(run.sets.end()));
    fill_gaps(report, run);
    while (sets_ > bounds_.sets && open_.size() > 1) {
        give_oldest();
    }
}

void report_gatherer::open(care_report& run, std::uint64_t first_line) {
    sets_ += run.sets.size();
    while (!open_.empty() && (open_.size() >= bounds_.reports || sets_ > bounds_.sets)) {
        give_oldest();
    }
    open_report& opened = open_.emplace_back();
    if (!spare_.empty()) {
        opened.report = std::move(spare_.back());
        spare_.pop_back();
    }
    std::swap(opened.report, run);
    opened.first_line = first_line;
    place_of_[opened.report.id] = given_ + open_.size() - 1;
}

void report_gatherer::give_oldest() {
    // The key is a view of the identifier, so it goes before that one is moved.
    const auto own = place_of_.find(open_.front().report.id);
    if (own != place_of_.end() && own->second == given_) {
        place_of_.erase(own);
    }
    open_report oldest = std::move(open_.front());
    open_.pop_front();
    ++given_;
    sets_ -= oldest.report.sets.size();
    const std::size_t hash = std::hash<std::string_view>{}(oldest.report.id);
    closed_[hash % closed_.size()] = hash;
    to_.take(oldest.report, oldest.first_line);
    spare_.push_back(std::move(oldest.report));
}

void report_gatherer::finish() {
    while (!open_.empty()) {
        give_oldest();
    }
}

bool report_gatherer::seen_before(std::string_view id) const {
    const std::size_t hash = std::hash<std::string_view>{}(id);
    return closed_[hash % closed_.size()] == hash;
}

}  // namespace vitalproof::read
