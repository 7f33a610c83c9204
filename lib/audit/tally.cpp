#include "audit/tally.hpp"

#include <vitalproof/examine.hpp>

#include <algorithm>
#include <bit>

namespace vitalproof::audit {

namespace {

/// Whether checks of a whole report would have been asked, were it shorter.
bool is_too_long(const care_report& report) {
    return report.sets.size() > examiner::most_sets_asked &&
           (report.call || std::ranges::any_of(report.sets, [&](const vital_set& set) {
                return report.known.overlaid_by(set.known).is(fact::airway_tube);
            }));
}

set_counts& counts_of(tally::by_name& names, remembered_counts& lately, const std::string& name,
                      const char* others) {
    const auto find = [&]() -> tally::by_name::value_type& {
        const auto known = names.find(name);
        return known != names.end()               ? *known
               : names.size() < tally::most_names ? *names.try_emplace(name).first
                                                  : *names.try_emplace(others).first;
    };
    return lately.of(name, find).second;
}

}  // namespace

void asked::add(asks what) {
    switch (what) {
        case asks::reject:
            ++reject;
            break;
        case asks::query:
            ++query;
            break;
        case asks::notice:
            ++notice;
            break;
    }
}

void asked::add(const asked& other) {
    reject += other.reject;
    query += other.query;
    notice += other.notice;
}

template <class Count>
void tally::count_by_name(const std::string& crew, const std::string& device, Count&& count) {
    count(counts_of(by_crew, crews_, crew, other_crews));
    if (!device.empty()) {
        count(counts_of(by_device, devices_, device, other_devices));
    }
}

void tally::add_report(const care_report& report) {
    ++reports;
    sets += report.sets.size();
    reports_too_long += is_too_long(report) ? 1U : 0U;
    // Set by set, as they lie in memory; what is held by a bit that no absence has.
    constexpr std::uint32_t held_bit = codes_of_states;
    static_assert(std::has_single_bit(held_bit) &&
                  reading_code(reading_state::unreadable) < 2 * held_bit);
    std::array<std::uint32_t, sign_count> held{};
    for (const vital_set& set : report.sets) {
        for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
            held[index_of(S::info.id)] += set[s].code() & held_bit;
        });
    }
    for (std::size_t i = 0; i < sign_count; ++i) {
        readings_by_sign[i] += held[i] / held_bit;
        readings += held[i] / held_bit;
    }
}

void tally::add_sets(const care_report& report, std::size_t count) {
    count_by_name(report.crew, report.device,
                  [count](set_counts& of_name) { of_name.sets += count; });
}

void tally::add_findings(std::span<const finding> of_set) {
    bool rejected = false;
    bool queried = false;
    bool explained = false;
    for (const finding& f : of_set) {
        const check_info& info = f.info();
        ++by_check[f.check];
        if (info.about.empty()) {
            by_sign[index_of(info.sign)].add(info.asks);
        }
        by_kind[static_cast<std::size_t>(info.kind)].add(info.asks);
        all.add(info.asks);
        if (f.part_of != nullptr) {
            part_of_batch.add(info.asks);
            clinical_part_of_batch += info.kind == kind::clinical ? 1U : 0U;
            explained = explained || info.asks != asks::notice;
            continue;
        }
        rejected = rejected || info.asks == asks::reject;
        queried = queried || info.asks == asks::query;
    }
    if (rejected || queried) {
        ++(rejected ? sets_rejected : sets_queried);
        const finding& any = of_set.front();
        count_by_name(any.crew, any.device, [rejected](set_counts& of_name) {
            ++(rejected ? of_name.sets_rejected : of_name.sets_queried);
        });
    } else if (explained) {
        ++sets_part_of_batch;
    }
}

void tally::add_finding(const batch_finding& of_column) {
    const batch_check_info& info = of_column.info();
    ++by_batch_check[index_of(of_column.check)];
    if (info.about.empty()) {
        by_sign[index_of(of_column.sign)].add(info.asks);
    }
    by_kind[static_cast<std::size_t>(info.kind)].add(info.asks);
    all.add(info.asks);
}

void tally::add(const tally& other) {
    const auto sum = [](auto& to, const auto& from) {
        for (std::size_t i = 0; i < to.size(); ++i) {
            to[i] += from[i];
        }
    };
    const auto sum_asked = [](auto& to, const auto& from) {
        for (std::size_t i = 0; i < to.size(); ++i) {
            to[i].add(from[i]);
        }
    };
    const auto sum_names = [](by_name& to, remembered_counts& lately, const by_name& from,
                              const char* others) {
        for (const auto& [name, counts] : from) {
            set_counts& here = counts_of(to, lately, name, others);
            here.sets += counts.sets;
            here.sets_rejected += counts.sets_rejected;
            here.sets_queried += counts.sets_queried;
        }
    };
    reports += other.reports;
    sets += other.sets;
    reports_too_long += other.reports_too_long;
    readings += other.readings;
    sets_rejected += other.sets_rejected;
    sets_queried += other.sets_queried;
    sets_part_of_batch += other.sets_part_of_batch;
    sum(by_check, other.by_check);
    sum(readings_by_sign, other.readings_by_sign);
    sum(by_batch_check, other.by_batch_check);
    sum_asked(by_sign, other.by_sign);
    sum_asked(by_kind, other.by_kind);
    all.add(other.all);
    part_of_batch.add(other.part_of_batch);
    clinical_part_of_batch += other.clinical_part_of_batch;
    sum_names(by_crew, crews_, other.by_crew, other_crews);
    sum_names(by_device, devices_, other.by_device, other_devices);
}

}  // namespace vitalproof::audit
