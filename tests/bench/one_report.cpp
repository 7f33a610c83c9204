// bench_one_report ROUNDS REPEATS: one report of eight sets examined in process, in the ways a
// program can ask for it; prints seconds and allocations a report as JSON, one line a round.
//
// The reports have no finding: what a charting server meets most of the time. Each way fills the
// report anew, as a server would from its own data; filling alone is measured beside.
#include "counted_new.hpp"
#include "invented.hpp"
#include "measure.hpp"
#include <vitalproof/examine.hpp>

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <span>
#include <stdexcept>
#include <string>
#include <vector>

namespace {

using namespace vitalproof;

constexpr std::size_t sets_of_report = 8;
constexpr std::size_t different_reports = 64;  // so that no branch is learnt by heart
constexpr std::uint64_t seed = 20260301;

vital_set set_of(const bench::invented_set& invented) {
    vital_set set;
    set.taken_at = set_time{
        std::chrono::local_seconds(std::chrono::seconds(60 * std::int64_t{invented.minute}))};
    for_each_sign(all_signs{}, [&]<VitalSign S>(S sign) {
        set[sign] = bench::is_charted(invented, S::info.id)
                        ? reading<S>(value_of<S>::from_value(invented.values[index_of(S::info.id)]))
                        : reading<S>::absent(absence::blank);
    });
    return set;
}

/// Invented reports of which nothing is to be asked or noted.
std::vector<care_report> clean_reports() {
    std::vector<care_report> clean;
    bench::invented_reports source(seed);
    care_report next;
    while (clean.size() < different_reports) {
        const bench::invented_set& set = source.next();
        if (set.first_of_report) {
            if (next.sets.size() >= sets_of_report) {
                next.sets.resize(sets_of_report);
                if (examine(next).empty()) {
                    clean.push_back(next);
                }
            }
            next = {};
            next.id = "PCR-" + std::to_string(set.report);
            next.crew = "M" + std::to_string(set.crew);
        }
        next.sets.push_back(set_of(set));
    }
    return clean;
}

void fill(care_report& report, const care_report& from) {
    report.id = from.id;
    report.crew = from.crew;
    report.sets.assign(from.sets.begin(), from.sets.end());
}

struct taker {
    std::uint64_t findings = 0;
    void operator()(std::span<const finding> of_set) { findings += of_set.size(); }
};

/// One way of asking, over all the reports.
template <class Way>
void measure(const char* name, std::size_t repeats, const std::vector<care_report>& reports,
             const char* separator, Way&& way) {
    for (int pass = 0; pass < 3; ++pass) {
        way();  // until buffers have grown
    }
    const std::uint64_t before = bench::allocations();
    const double seconds = bench::seconds_of([&] {
        for (std::size_t i = 0; i < repeats; ++i) {
            way();
        }
    });
    const auto many = static_cast<double>(repeats * reports.size());
    std::printf("%s\"%s\": {\"seconds\": %.12f, \"allocations\": %.6f}", separator, name,
                seconds / many, static_cast<double>(bench::allocations() - before) / many);
}

void measure_all(const std::vector<care_report>& reports, std::size_t repeats) {
    care_report report;
    examiner kept;
    taker found;
    std::uint64_t kept_from_the_optimiser = 0;
    measure("filled", repeats, reports, "{", [&] {
        for (const care_report& from : reports) {
            fill(report, from);
            kept_from_the_optimiser += report.sets.size();
        }
    });
    measure("one by one", repeats, reports, ", ", [&] {
        for (const care_report& from : reports) {
            fill(report, from);
            kept.add(report, found);
            kept.finish(found);
        }
    });
    measure("in blocks", repeats, reports, ", ", [&] {
        for (const care_report& from : reports) {
            fill(report, from);
            kept.add(report, found);
        }
        kept.finish(found);
    });
    measure("by one call", repeats, reports, ", ", [&] {
        for (const care_report& from : reports) {
            found.findings += examine(from).size();
        }
    });
    std::printf("}\n");
    if (found.findings != 0 || kept_from_the_optimiser == 0) {
        throw std::runtime_error("a clean report has findings");
    }
}

}  // namespace

int main(int count, char** words) try {
    if (count != 3) {
        std::fprintf(stderr, "usage: %s ROUNDS REPEATS\n", words[0]);
        return 2;
    }
    const std::vector<care_report> reports = clean_reports();
    const auto repeats = static_cast<std::size_t>(std::strtoull(words[2], nullptr, 10));
    for (auto round = std::strtoull(words[1], nullptr, 10); round > 0; --round) {
        measure_all(reports, repeats);
    }
    return 0;
} catch (const std::exception& error) {
    std::fprintf(stderr, "bench_one_report: %s\n", error.what());
    return 1;
}
