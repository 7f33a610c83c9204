#include "audit/repeated_reports.hpp"

#include <xxhash.h>

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
    const double values[5] = {set.systolic.raw(), set.diastolic.raw(), set.pulse.raw(),
                              set.respiratory_rate.raw(), set.saturation.raw()};
    told_set told;
    told.tells = checks::repeated_report::is_telling(values) &&
                 !report.known.overlaid_by(set.known).is(fact::captured);
    if (told.tells) {
        for (const double v : values) {
            told.values.add(v == v ? std::bit_cast<std::uint64_t>(v) : 1U);  // NaN has many forms
        }
    }
    return told;
}

std::uint64_t hash_of(std::string_view text) {
    return text.empty() ? 0 : XXH3_64bits(text.data(), text.size()) | 1U;
}

bool is_shared(std::uint64_t a, std::uint64_t b) { return a != 0 && a == b; }

template <class Record>
std::string_view bytes_of(const Record& record) {
    return {reinterpret_cast<const char*>(&record), sizeof record};
}

template <class Record>
Record record_in(std::string_view records, std::size_t which) {
    Record record{};
    std::memcpy(&record, records.data() + which * sizeof record, sizeof record);
    return record;
}

}  // namespace

void repeated_reports::add(const care_report& report) {
    if (reports_told_ == std::numeric_limits<std::uint32_t>::max()) {
        return;
    }
    bool any = false;
    told_set before;
    for (std::size_t i = 0; i < report.sets.size(); ++i) {
        const told_set now = told_by(report, report.sets[i]);
        if (now.tells && before.tells) {
            value_hash both = before.values;
            both.add(now.values.one);
            const pair found{value_hash::spread(both.one), value_hash::spread(both.two),
                             reports_told_, static_cast<std::uint32_t>(i)};
            pairs_.add(found.values, bytes_of(found));
            any = true;
        }
        before = now;
    }
    if (any) {
        tell(report);
    }
}

void repeated_reports::tell(const care_report& report) {
    const told_report one{hash_of(report.incident), hash_of(report.device), ids_.add(report.id)};
    told_.add(bytes_of(one));
    ++reports_told_;
}

repeated_reports::told_report repeated_reports::told(std::uint32_t report) {
    std::string record;
    told_.append_to(record, {report * sizeof(told_report), sizeof(told_report)});
    return record.empty() ? told_report{} : record_in<told_report>(record, 0);
}

void repeated_reports::compare(const pair& first, const pair& later, found_by_report& into) {
    const auto known = into.find(later.report);
    const bool further =
        known == into.end() ? into.size() >= most_found : known->second.set <= later.set;
    if (later.report == first.report || further) {
        return;
    }
    const told_report one = told(first.report);
    const told_report other = told(later.report);
    batch_finding f;
    f.check = batch_check::repeated_report;
    ids_.append_to(f.report, other.id);
    f.set = later.set;
    ids_.append_to(f.other_report, one.id);
    f.other_set = first.set;
    if (f.report != f.other_report && !is_shared(one.incident, other.incident) &&
        !is_shared(one.device, other.device)) {
        into.insert_or_assign(later.report, std::move(f));
    }
}

// A table by hash, half empty: nearly every pair is the only one of its values.
void repeated_reports::look_through(std::size_t part, found_by_report& into) {
    constexpr std::uint32_t none = std::numeric_limits<std::uint32_t>::max();
    const std::string records = pairs_.part(part);
    const std::size_t count = records.size() / sizeof(pair);
    const std::size_t room = std::bit_ceil(2 * count + 1);
    first_of_.assign(room, none);
    for (std::size_t i = 0; i < count; ++i) {
        const auto here = record_in<pair>(records, i);
        // The low bits chose the part.
        for (std::size_t at = here.values >> 8U;; ++at) {
            std::uint32_t& place = first_of_[at & (room - 1)];
            if (place == none) {
                place = static_cast<std::uint32_t>(i);
                break;
            }
            const auto first = record_in<pair>(records, place);
            if (first.values == here.values && first.more_of_values == here.more_of_values) {
                compare(first, here, into);
                break;
            }
        }
    }
}

std::vector<batch_finding> repeated_reports::found() {
    found_by_report by_report;
    for (std::size_t part = 0; part < spool::parts && !failed(); ++part) {
        look_through(part, by_report);
    }
    std::vector<batch_finding> all;
    for (auto& [report, f] : by_report) {
        all.push_back(std::move(f));
    }
    return all;
}

}  // namespace vitalproof::audit
