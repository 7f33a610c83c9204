// Every check of a batch against its folder in fixtures/batch_checks.
// `expected.csv` says what is asked of which files, by members that its header names; files that
// begin with `silent` raise nothing. The expectations come from the evidence that the check asks
// for.
#include "audit/audit.hpp"
#include "read/byte_source.hpp"
#include "read/tokenizer.hpp"
#include <vitalproof/batch_finding.hpp>
#include <vitalproof/fingerprint.hpp>
#include <vitalproof/message.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <map>
#include <memory>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

using namespace vitalproof;
namespace fs = std::filesystem;

namespace {

const fs::path folders = fs::path(VITALPROOF_FIXTURES) / "batch_checks";

class keeping_observer final : public audit::observer {
public:
    std::unique_ptr<audit::findings_part> new_part() const override {
        return std::make_unique<part>();
    }
    void take(audit::findings_part& one) override {
        std::vector<finding>& taken = static_cast<part&>(one).findings;
        std::ranges::move(taken, std::back_inserter(findings));
        taken.clear();
    }
    void found(const batch_finding& of_batch) override { wholes.push_back(of_batch); }
    void unread(const read::unread_row&) override {}

    std::vector<batch_finding> wholes;
    std::vector<finding> findings;

private:
    struct part final : audit::findings_part {
        void found(std::string_view, std::span<const finding> of_set, const care_report&) override {
            findings.insert(findings.end(), of_set.begin(), of_set.end());
        }
        std::size_t bytes() const override { return findings.size() * sizeof(finding); }

        std::vector<finding> findings;
    };
};

// An audit of one file: findings point into its account.
struct audited {
    explicit audited(const fs::path& file, const limits& in_force = {}) {
        const std::vector<std::string> files{file.string()};
        account = audit::audit_files(files, {.in_force = in_force}, seen);
        INFO(file);
        REQUIRE(!account.any_file_failed());
        REQUIRE(account.rows_read == account.rows_examined);
    }

    keeping_observer seen{};
    audit::account account{};
};

fs::path file_of(std::string_view name) { return folders / "unit.column" / name; }

using row = std::vector<std::string>;

// The tables of these folders are read as any other: quotes, commas and all.
std::vector<row> rows_of(const fs::path& file) {
    const read::opened_file opened = read::open_file(file.string());
    REQUIRE(opened.source != nullptr);
    read::tokenizer tokens(*opened.source, {});
    std::vector<row> rows;
    read::token_row given;
    while (tokens.next(given)) {
        rows.emplace_back(given.cells.begin(), given.cells.end());
    }
    return rows;
}

// A member of a finding as expected.csv names it.
std::string member(const std::string& name, const batch_finding& f) {
    const std::map<std::string, std::string> members{
        {"column", f.column},
        {"sign", std::string(describe(f.sign).name)},
        {"stated", std::string(f.stated)},
        {"fits", std::string(f.fits)},
        {"device", f.device},
        {"shift", std::to_string(f.shift)},
        {"report", f.report},
        {"set", std::to_string(f.set)},
        {"other_report", f.other_report},
        {"other_set", std::to_string(f.other_set)},
    };
    return members.at(name);
}

bool is_part_of_whole(const finding& f) { return f.part_of != nullptr; }

}  // namespace

TEST_CASE("each check of a batch asks what its folder expects") {
    const fs::path folder =
        folders /
        std::string(batch_check_table[GENERATE(range(std::size_t{0}, batch_check_count))].code);
    auto expected = rows_of(folder / "expected.csv");
    const row members = expected.front();
    REQUIRE(members.size() > 1);
    REQUIRE(members.front() == "file");
    expected.erase(expected.begin());
    std::vector<row> found;
    for (const auto& entry : fs::directory_iterator(folder)) {
        const std::string name = entry.path().filename().string();
        if (name == "expected.csv") {
            continue;
        }
        CAPTURE(name);
        const audited ran(entry.path());
        CHECK(ran.seen.wholes.empty() == name.starts_with("silent-"));
        CHECK(ran.account.batch.size() == ran.seen.wholes.size());
        for (const batch_finding& f : ran.seen.wholes) {
            row& one = found.emplace_back(row{name});
            for (std::size_t i = 1; i < members.size(); ++i) {
                one.push_back(member(members[i], f));
            }
            CHECK(f.info().code == folder.filename().string());
            for (const std::string& text :
                 {message::question(f), message::expected(f), message::charted(f)}) {
                CHECK(!text.empty());
                CHECK(text.find('{') == std::string::npos);
            }
            CHECK(fingerprint(f).size() == 20);
        }
    }
    std::ranges::sort(expected);
    std::ranges::sort(found);
    CHECK(found == expected);
}

TEST_CASE("each folder belongs to a check of a batch") {
    std::set<std::string> seen;
    for (const auto& entry : fs::directory_iterator(folders)) {
        CAPTURE(entry.path());
        CHECK(find_batch_check(entry.path().filename().string()));
        seen.insert(entry.path().filename().string());
    }
    CHECK(seen.size() == batch_check_count);
}

TEST_CASE("the texts of a finding about a column are whole and name no crew") {
    const audited ran(file_of("fires-celsius-stated.csv"));
    const batch_finding& f = ran.seen.wholes.at(0);
    for (const std::string& text :
         {message::question(f), message::expected(f), message::charted(f)}) {
        CAPTURE(text);
        CHECK(!text.empty());
        CHECK(text.find('{') == std::string::npos);
        CHECK(text.find("crew") == std::string::npos);
    }
    CHECK(message::question(f) ==
          "Column \"Temp (C)\" states °C, but 20 of the first 20 numbers in it fit °F instead. In "
          "which unit does the export write them?");
    CHECK(f.counts == checks::unit_column::counts{20, 20});
}

TEST_CASE("a column that may no longer fire does not, whatever else is in it") {
    using checks::unit_column;
    std::size_t decided_early = 0;
    for (std::uint64_t all = 0; all < 200; ++all) {
        for (std::uint64_t looked_at = 0; looked_at <= all; ++looked_at) {
            for (std::uint64_t fitting = 0; fitting <= looked_at; ++fitting) {
                const std::uint64_t more = all - looked_at;
                bool fires = false;
                for (std::uint64_t fit_of_more = 0; fit_of_more <= more; ++fit_of_more) {
                    fires = fires || unit_column::fires({all, fitting + fit_of_more});
                }
                const bool may = unit_column::may_fire({looked_at, fitting}, more);
                decided_early += !may && more != 0 ? 1U : 0U;
                if (may != fires) {
                    FAIL("of " << all << ", " << looked_at << " looked at, " << fitting);
                }
            }
        }
    }
    CHECK(decided_early > 0);
}

TEST_CASE("what a column explains is part of its finding, and stays as charted") {
    const audited ran(file_of("fires-celsius-stated.csv"));
    CHECK(ran.seen.findings.size() == 40);  // impossible, and as if in °F, twenty times
    for (const finding& f : ran.seen.findings) {
        CHECK(f.part_of == &ran.account.batch.front().about);
        CHECK(f.unit_stated);
    }
    CHECK(ran.seen.findings.front().evidence.readings().front().value == Approx(98.6));
    CHECK(ran.account.batch.front().parts == 40);
    const audit::tally& counts = ran.account.counts;
    CHECK(counts.sets_part_of_batch == 20);
    CHECK(counts.sets_rejected + counts.sets_queried == 0);
    CHECK(counts.part_of_batch.total() == 40);
    CHECK(counts.all.total() == 41);
    for (const auto& [name, crew] : counts.by_crew) {
        CHECK(crew.sets_rejected + crew.sets_queried == 0);
    }
}

TEST_CASE("a reading that fits neither unit stands for itself") {
    const audited whole(file_of("fires-nine-of-ten.csv"));
    CHECK(std::ranges::all_of(whole.seen.findings, is_part_of_whole));
    // The same column with one reading that no unit explains.
    const fs::path copy = fs::temp_directory_path() / "vitalproof-neither-unit.csv";
    fs::copy_file(file_of("fires-celsius-stated.csv"), copy, fs::copy_options::overwrite_existing);
    std::ofstream(copy, std::ios::app) << "31,200\n";
    const audited ran(copy);
    fs::remove(copy);
    CHECK(std::ranges::count_if(ran.seen.findings, std::not_fn(is_part_of_whole)) == 1);
    CHECK(ran.account.counts.sets_rejected == 1);
}

TEST_CASE("turned off, nothing is asked of a column and nothing is part of it") {
    limits without;
    without.turn(batch_check::unit_column, false);
    const audited ran(file_of("fires-celsius-stated.csv"), without);
    CHECK(ran.seen.wholes.empty());
    CHECK(std::ranges::none_of(ran.seen.findings, is_part_of_whole));
    CHECK(ran.account.counts.sets_rejected == 20);
}

TEST_CASE("the fingerprint of a column's finding does not count its numbers") {
    batch_finding f = audited(file_of("fires-celsius-stated.csv")).seen.wholes.at(0);
    const std::string before = fingerprint(f);
    f.counts = {4000, 3900};
    f.file = "next-week.csv";
    CHECK(fingerprint(f) == before);
    f.column = "Temperature (C)";
    CHECK(fingerprint(f) != before);
}

TEST_CASE("a number whose unit nobody stated is not told in the assumed one") {
    const fs::path few = fs::temp_directory_path() / "vitalproof-unit-not-stated.csv";
    std::ofstream(few) << "report,Temp,SBP\n1,98.4,120\n2,98.4 C,120\n3,200,1139\n";
    const audited ran(few);
    fs::remove(few);
    const message_writer words{limits{}};
    std::vector<std::string> questions;
    for (const finding& f : ran.seen.findings) {
        questions.push_back(f.report + ": " + words.question(f));
    }
    const auto said = [&](std::string_view text) {
        return std::ranges::any_of(
            questions, [&](const std::string& q) { return q.find(text) != std::string::npos; });
    };
    CAPTURE(questions);
    CHECK(said("1: Set 1: The temperature is charted as 98.4 (unit not stated). Which number and"));
    CHECK(said("1: Set 1: The temperature is charted as 98.4 (unit not stated), outside"));
    CHECK(said("2: Set 1: The temperature is charted as 98.4 C (98.4 °C)"));
    CHECK(said("3: Set 1: The temperature is charted as 200 °C, outside"));  // fits neither unit
    CHECK(said("3: Set 1: The systolic is charted as 1139 mmHg"));
}
