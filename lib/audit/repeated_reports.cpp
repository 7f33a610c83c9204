#include "audit/repeated_reports.hpp"

#include <xxhash.h>

#include <algorithm>
#include <bit>
#include <cstring>
#include <limits>
#include <utility>

namespace vitalproof::audit {

namespace {

/// Two hashes at once, a few steps a value: every set of every report goes through here.
struct value_hash {
    std::uint64_t one = 0x9E3779B97F4A7C15U;
    std::uint64_t two = 0xC2B2AE3D27D4EB4FU;

    void add(std::uint64_t bits) {
        one = (std::rotl(one, 27) ^ bits) * 0xFF51AFD7ED558CCDU;
        two = (std::rotl(two, 31) ^ bits) * 0xC4CEB9FE1A85EC53U;
    }
    static std::uint64_t spread(std::uint64_t h) {
        h = (h ^ (h >> 33U)) * 0xFF51AFD7ED558CCDU;
        return h ^ (h >> 29U);
    }
};

/// What is kept of a set: whether it tells enough for a pair, and its values.
struct told_set {
    bool tells = false;
    value_hash values{};
};

told_set told_by(const care_report& report, const vital_set& set) {
    const auto value = [](const auto& r) {
        return r.is_number() ? r.raw() : std::numeric_limits<double>::quiet_NaN();
    };
    const double values[5] = {value(set.systolic), value(set.diastolic), value(set.pulse),
                              value(set.respiratory_rate), value(set.saturation)};
    told_set told;
    told.tells = checks::repeated_report::is_telling(values) &&
                 !report.known.overlaid_by(set.known).is(fact::captured);
    for (const double v : values) {
        told.values.add(v == v ? std::bit_cast<std::uint64_t>(v) : 1U);  // NaN has many forms
    }
    return told;
}

std::uint64_t hash_of(std::string_view text) {
    return text.empty() ? 0 : XXH3_64bits(text.data(), text.size()) | 1U;
}

bool is_shared(std::uint64_t a, std::uint64_t b) { return a != 0 && a == b; }

}  // namespace

void repeated_reports::add(const care_report& report) {
    const std::uint64_t number = reports_++;
    if (report.sets.size() < 2) {
        return;
    }
    told_set before;
    for (std::size_t i = 0; i < report.sets.size(); ++i) {
        const told_set now = told_by(report, report.sets[i]);
        if (now.tells && before.tells) {
            value_hash both = before.values;
            both.add(now.values.one);
            const pair found{{value_hash::spread(both.one), value_hash::spread(both.two)},
                             number,
                             hash_of(report.incident),
                             hash_of(report.device),
                             static_cast<std::uint32_t>(i),
                             static_cast<std::uint32_t>(report.id.size())};
            pairs_.add(found.values[0],
                       std::string_view(reinterpret_cast<const char*>(&found), sizeof found),
                       report.id);
        }
        before = now;
    }
}

repeated_reports::read_pair repeated_reports::read(std::string_view records, std::size_t at) {
    read_pair next{};
    std::memcpy(&next.is, records.data() + at, sizeof next.is);
    next.id = records.substr(at + sizeof next.is, next.is.id_size);
    return next;
}

void repeated_reports::compare(const std::vector<read_pair>& same,
                               std::map<std::uint64_t, batch_finding>& into) {
    const read_pair& first = same.front();
    for (const read_pair& later : same) {
        if (later.is.report == first.is.report || later.id == first.id ||
            is_shared(later.is.incident, first.is.incident) ||
            is_shared(later.is.device, first.is.device)) {
            continue;
        }
        const auto known = into.find(later.is.report);
        if (known == into.end() ? into.size() >= most_found : known->second.set <= later.is.set) {
            continue;
        }
        batch_finding f;
        f.check = batch_check::repeated_report;
        f.report = later.id;
        f.set = later.is.set;
        f.other_report = first.id;
        f.other_set = first.is.set;
        into.insert_or_assign(later.is.report, std::move(f));
    }
}

// Sorted by their hashes, pairs alike lie together; few are, so the rest is not read again.
void repeated_reports::look_through(std::size_t part,
                                    std::map<std::uint64_t, batch_finding>& into) {
    const std::string records = pairs_.part(part);
    std::vector<std::pair<std::uint64_t, std::size_t>> places;  // hash, place
    for (std::size_t at = 0; at < records.size();) {
        const read_pair next = read(records, at);
        places.emplace_back(next.is.values[0], at);
        at += sizeof next.is + next.is.id_size;
    }
    std::ranges::sort(places);
    std::vector<read_pair> same;
    for (std::size_t begin = 0, end = 0; begin < places.size(); begin = end) {
        while (end < places.size() && places[end].first == places[begin].first) {
            ++end;
        }
        if (end - begin < 2) {
            continue;
        }
        same.clear();
        for (std::size_t i = begin; i < end; ++i) {
            same.push_back(read(records, places[i].second));
        }
        const std::uint64_t second = same.front().is.values[1];
        std::erase_if(same, [&](const read_pair& p) { return p.is.values[1] != second; });
        compare(same, into);
    }
}

std::vector<batch_finding> repeated_reports::found() {
    std::map<std::uint64_t, batch_finding> by_report;
    for (std::size_t part = 0; part < spool::parts && !pairs_.failed(); ++part) {
        look_through(part, by_report);
    }
    std::vector<batch_finding> found;
    for (auto& [number, f] : by_report) {
        found.push_back(std::move(f));
    }
    return found;
}

}  // namespace vitalproof::audit
