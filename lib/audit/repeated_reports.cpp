#include "audit/repeated_reports.hpp"

#include <xxhash.h>

#include <algorithm>
#include <array>
#include <cstring>
#include <limits>
#include <span>
#include <string_view>
#include <tuple>

namespace vitalproof::audit {

namespace {

constexpr std::size_t values_of_a_set = 5;

// The five values of a set that a pair is told by; false where they do not tell enough, or a
// monitor sent them.
bool take_values(const care_report& report, const vital_set& set, double* values) {
    const auto value = [](const auto& r) {
        return r.is_number() ? r.raw() : std::numeric_limits<double>::quiet_NaN();
    };
    const double of_set[values_of_a_set] = {value(set.systolic), value(set.diastolic),
                                            value(set.pulse), value(set.respiratory_rate),
                                            value(set.saturation)};
    // NaN has many forms; one stands for all.
    std::ranges::transform(of_set, values, [](double v) {
        return v == v ? v : std::numeric_limits<double>::quiet_NaN();
    });
    return checks::repeated_report::is_telling(of_set) &&
           !report.known.overlaid_by(set.known).is(fact::captured);
}

std::uint64_t hash_of(std::string_view text) {
    return text.empty() ? 0 : XXH3_64bits(text.data(), text.size()) | 1U;
}

bool may_share(std::uint64_t a, std::uint64_t b) { return a != 0 && a == b; }

}  // namespace

void repeated_reports::add(const care_report& report) {
    std::array<double, 2 * values_of_a_set> values{};
    bool before = false;
    const std::uint64_t number = reports_++;
    if (report.sets.size() < 2) {
        return;
    }
    for (std::size_t i = 0; i < report.sets.size(); ++i) {
        std::copy_n(values.data() + values_of_a_set, values_of_a_set, values.data());
        const bool tells = take_values(report, report.sets[i], values.data() + values_of_a_set);
        if (tells && before) {
            const XXH128_hash_t hash = XXH3_128bits(values.data(), sizeof values);
            const pair found{hash.low64,
                             hash.high64,
                             number,
                             hash_of(report.incident),
                             hash_of(report.device),
                             static_cast<std::uint32_t>(i),
                             static_cast<std::uint32_t>(report.id.size())};
            record_.assign(reinterpret_cast<const char*>(&found), sizeof found);
            pairs_.add(found.values, record_.append(report.id));
        }
        before = tells;
    }
}

void repeated_reports::compare(const std::vector<read_pair>& same,
                               std::map<std::uint64_t, batch_finding>& into) {
    const read_pair& first = same.front();
    for (const read_pair& later : same) {
        if (later.is.report == first.is.report || later.id == first.id ||
            may_share(later.is.incident, first.is.incident) ||
            may_share(later.is.device, first.is.device)) {
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

std::vector<batch_finding> repeated_reports::found() {
    std::map<std::uint64_t, batch_finding> by_report;
    for (std::size_t part = 0; part < spool::parts && !pairs_.failed(); ++part) {
        const std::string records = pairs_.part(part);
        std::vector<read_pair> all;
        for (std::size_t at = 0; at < records.size();) {
            read_pair next{};
            std::memcpy(&next.is, records.data() + at, sizeof next.is);
            next.id = std::string_view(records).substr(at + sizeof next.is, next.is.id_size);
            at += sizeof next.is + next.is.id_size;
            all.push_back(next);
        }
        const auto order = [](const read_pair& p) {
            return std::tuple(p.is.values, p.is.more, p.is.report, p.is.set);
        };
        std::ranges::sort(all, {}, order);
        for (auto begin = all.begin(); begin != all.end();) {
            const auto end = std::find_if(begin, all.end(), [&](const read_pair& p) {
                return p.is.values != begin->is.values || p.is.more != begin->is.more;
            });
            compare({begin, end}, by_report);
            begin = end;
        }
    }
    std::vector<batch_finding> found;
    for (auto& [number, f] : by_report) {
        found.push_back(std::move(f));
    }
    return found;
}

}  // namespace vitalproof::audit
