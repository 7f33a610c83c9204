#include "audit/repeated_reports.hpp"

// Inlined for its one length: every set of every report goes through it.
#define XXH_INLINE_ALL
#include <xxhash.h>

#include <algorithm>
#include <bit>
#include <cstring>
#include <limits>
#include <optional>
#include <string>
#include <utility>

namespace vitalproof::audit {

namespace {

/// What is kept of a set: a hash of its values, and whether they tell enough for a pair.
struct told_set {
    bool tells = false;
    std::uint64_t values = 0;
};

told_set told_by(const care_report& report, const vital_set& set) {
    // By their bits: all readings without a number hold one and the same NaN.
    const double values[5] = {set.systolic.raw(), set.diastolic.raw(), set.pulse.raw(),
                              set.respiratory_rate.raw(), set.saturation.raw()};
    if (!checks::repeated_report::is_telling(values) ||
        report.known.overlaid_by(set.known).is(fact::captured)) {
        return {};
    }
    return {true, XXH3_64bits(values, sizeof values)};
}

std::uint64_t hash_of(std::string_view text) {
    return text.empty() ? 0 : XXH3_64bits(text.data(), text.size()) | 1U;
}

bool is_shared(std::uint64_t a, std::uint64_t b) { return a != 0 && a == b; }

template <class Record>
std::string_view bytes_of(const Record& record) {
    return {reinterpret_cast<const char*>(&record), sizeof record};
}

}  // namespace

// Of the two hashes 64 bits together, and the part says eight more of the second: of a million
// batches of a hundred million pairs, one would have two taken for each other by chance.
void repeated_reports::gather(const care_report& report, std::uint32_t place,
                              std::vector<pair_of_sets>& pairs) {
    told_set before;
    std::uint32_t i = 0;
    for (const vital_set& set :
         std::span(report.sets).first(std::min(report.sets.size(), most_sets))) {
        const told_set now = told_by(report, set);
        if (now.tells && before.tells) {
            pairs.push_back({std::rotl(before.values, 31) + now.values, i, place,
                             static_cast<std::uint8_t>(now.values % parts)});
        }
        before = now;
        ++i;
    }
}

void repeated_reports::add(std::span<const care_report> reports,
                           std::span<const pair_of_sets> pairs) {
    constexpr std::size_t ahead = 16;
    std::optional<std::uint32_t> at_hand;
    std::uint64_t place = 0;
    for (std::size_t i = 0; i < pairs.size(); ++i) {
        if (pairs.size() - i > ahead) {
            pairs_.expect(pairs[i + ahead].part);
        }
        const pair_of_sets& next = pairs[i];
        if (at_hand != next.report) {
            at_hand = next.report;
            place = tell(reports[next.report]);
        }
        pairs_.add(next.part, {next.values, {place, next.set}});
        ++count_of_[next.part];
    }
}

std::uint64_t repeated_reports::tell(const care_report& report) {
    const told_report one{hash_of(report.incident), hash_of(report.device), report.id.size()};
    const scratch_file::place at = told_.add(bytes_of(one));
    told_.add(report.id);
    return at.offset;
}

repeated_reports::told_report repeated_reports::told(std::uint64_t report) {
    std::string record;
    told_.append_to(record, {report, sizeof(told_report)});
    told_report one{};
    std::memcpy(&one, record.data(), std::min(record.size(), sizeof one));
    return one;
}

std::string repeated_reports::id_of(std::uint64_t report, const told_report& of) {
    std::string id;
    told_.append_to(id, {report + sizeof(told_report), of.id_size});
    return id;
}

void repeated_reports::look_through(std::size_t part) {
    const std::size_t turns = std::bit_ceil(count_of_[part] / most_held + 1);
    for (std::size_t turn = 0; turn < turns; ++turn) {
        hold(part, turn, turns);
        look_through_held();
    }
}

void repeated_reports::hold(std::size_t part, std::size_t turn, std::size_t turns) {
    held_.clear();
    const std::size_t expected = count_of_[part] / turns;
    held_.reserve(expected + expected / 8);  // growing, it would for a while be there twice
    pairs_.read_part_backwards(part, [&](const pair& next) {
        if ((next.values & (turns - 1)) == turn) {  // a power of two of them
            held_.push_back(next);
        }
    });
    std::ranges::reverse(held_);
}

// A table by hash, at most two thirds full: nearly every pair is the only one of its values.
void repeated_reports::look_through_held() {
    constexpr std::uint32_t none = std::numeric_limits<std::uint32_t>::max();
    const std::size_t room = std::bit_ceil(held_.size() + held_.size() / 2 + 1);
    first_of_.assign(room, none);
    for (std::size_t i = 0; i < held_.size(); ++i) {
        const pair& here = held_[i];
        // The low bits chose the turn.
        for (std::size_t at = here.values >> 16U;; ++at) {
            std::uint32_t& place = first_of_[at & (room - 1)];
            if (place == none) {
                place = static_cast<std::uint32_t>(i);
                break;
            }
            if (held_[place].values == here.values) {
                add_match(held_[place].at, here.at);
                break;
            }
        }
    }
}

void repeated_reports::add_match(place first, place later) {
    if (later.report() == first.report() || later.report() >= beyond_) {
        return;
    }
    matches_.reserve(most_matches + 1);
    matches_.push_back({later, first});
    if (matches_.size() > most_matches) {
        const auto middle = matches_.begin() + most_matches / 2;
        std::ranges::nth_element(matches_, middle);
        beyond_ = middle->later.report();
        std::erase_if(matches_, [this](const match& m) { return m.later.report() >= beyond_; });
    }
}

std::optional<batch_finding> repeated_reports::in_words(const match& first_of_run) {
    const auto [later, first] = first_of_run;
    const told_report one = told(first.report());
    const told_report other = told(later.report());
    batch_finding f;
    f.check = batch_check::repeated_report;
    f.report = id_of(later.report(), other);
    f.set = later.set();
    f.other_report = id_of(first.report(), one);
    f.other_set = first.set();
    if (f.report == f.other_report || is_shared(one.incident, other.incident) ||
        is_shared(one.device, other.device)) {
        return std::nullopt;
    }
    return f;
}

std::vector<batch_finding> repeated_reports::found() {
    std::uint64_t pairs = 0;
    for (std::size_t part = 0; part < parts && !failed(); ++part) {
        pairs += count_of_[part];
        look_through(part);
    }
    std::ranges::sort(matches_);
    std::vector<batch_finding> all;
    std::uint64_t told_of = beyond_;
    for (auto m = matches_.begin(); m != matches_.end() && all.size() < most_found; ++m) {
        std::uint64_t in_a_row = 1;
        for (auto n = m; n + 1 != matches_.end() && n->goes_on_in(n[1]); ++n) {
            ++in_a_row;
        }
        if (m->later.report() == told_of || !checks::repeated_report::fires({in_a_row, pairs})) {
            continue;
        }
        if (auto f = in_words(*m)) {
            all.push_back(std::move(*f));
            told_of = m->later.report();
        }
    }
    return all;
}

}  // namespace vitalproof::audit
