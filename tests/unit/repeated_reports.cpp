// Reports that hold the same sets, in batches small and large.
#include "audit/repeated_reports.hpp"

#include <catch2/catch.hpp>

#include <cstddef>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

using namespace vitalproof;

namespace {

/// Reports of any values; two sets are the same by chance in no batch that a test can make.
class any_reports {
public:
    care_report next(std::size_t sets) {
        care_report report;
        report.id = "R" + std::to_string(++made_);
        for (std::size_t i = 0; i < sets; ++i) {
            vital_set set;
            set.systolic = number(60, 250) * mmHg;
            set.diastolic = number(30, 150) * mmHg;
            set.pulse = number(30, 200) * per_minute;
            set.respiratory_rate = number(4, 60) * per_minute;
            set.saturation = number(60, 100) * percent;
            report.sets.push_back(set);
        }
        return report;
    }

private:
    double number(int low, int high) {
        return low + static_cast<double>(dice_() % static_cast<unsigned>(10 * (high - low))) / 10;
    }

    std::mt19937 dice_{20260301};
    std::size_t made_ = 0;
};

std::vector<batch_finding> found_in(const std::vector<care_report>& reports) {
    audit::repeated_reports repeated;
    std::vector<audit::repeated_reports::pair_of_sets> pairs;
    for (std::size_t i = 0; i < reports.size(); ++i) {
        audit::repeated_reports::gather(reports[i], static_cast<std::uint32_t>(i), pairs);
    }
    repeated.add(reports, pairs);
    auto found = repeated.found();
    CHECK(!repeated.failed());
    return found;
}

care_report with_sets_of(care_report report, const care_report& other, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
        report.sets[i + 1] = other.sets[i];
    }
    return report;
}

}  // namespace

TEST_CASE(
    "two sets in a row are asked about in a small batch, more where some are alike by chance") {
    const std::size_t count = GENERATE(20U, 34'000U);  // of three pairs each
    any_reports any;
    std::vector<care_report> reports;
    for (std::size_t i = 0; i < count; ++i) {
        reports.push_back(any.next(4));
    }
    reports.push_back(with_sets_of(any.next(4), reports[3], 1));
    reports.push_back(with_sets_of(any.next(4), reports[5], 2));
    reports.push_back(with_sets_of(any.next(4), reports[7], 3));
    const auto found = found_in(reports);
    const bool large = count > 20;
    REQUIRE(found.size() == (large ? 1U : 2U));
    CHECK(found.back().report == reports.back().id);
    CHECK(found.back().other_report == reports[7].id);
    CHECK(found.back().set == 2);
    CHECK(found.back().other_set == 1);
    if (!large) {
        CHECK(found.front().other_report == reports[5].id);
    }
}

TEST_CASE("of very many repeated reports the first are told, in their order") {
    any_reports any;
    std::vector<care_report> reports;
    constexpr std::size_t count = 45'000;
    for (std::size_t i = 0; i < count; ++i) {
        reports.push_back(any.next(4));
    }
    for (std::size_t i = 0; i < count; ++i) {
        reports.push_back(reports[i]);
        reports.back().id += " again";
    }
    const auto found = found_in(reports);
    REQUIRE(found.size() == audit::repeated_reports::most_found);
    bool all_in_order = true;
    for (std::size_t i = 0; i < found.size(); ++i) {
        all_in_order = all_in_order && found[i].report == reports[count + i].id &&
                       found[i].other_report == reports[i].id && found[i].set == 1;
    }
    CHECK(all_in_order);
}
