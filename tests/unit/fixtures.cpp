// Every check of the catalogue against its folder in fixtures/checks.
// A folder says in `expected.csv` which sets of `input.csv` its check asks about; the expectations
// come from the limits, not from running the program. All take place in New York, audited as of
// 2027-01-01T00:00Z.
#include "read/report_file.hpp"
#include "read/time_zone.hpp"
#include <vitalproof/examine.hpp>
#include <vitalproof/message.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cctype>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <vector>

using namespace vitalproof;
namespace fs = std::filesystem;

namespace {

const fs::path folders = fs::path(VITALPROOF_FIXTURES) / "checks";
constexpr std::chrono::sys_days as_of{std::chrono::year(2027) / 1 / 1};

class all_reports final : public read::sink {
public:
    void report(care_report& report, std::uint64_t) override {
        std::swap(reports.emplace_back(), report);
    }
    void unread(const read::unread_row& row) override {
        problems.push_back("line " + std::to_string(row.line) + ": " + std::string(row.reason));
    }
    // A time that the zone's clocks do not tell is what some of the checks ask about.
    void note(const read::cell_note& note) override {
        if (note.kind == read::note_kind::unplaced_time) {
            return;
        }
        problems.push_back("line " + std::to_string(note.line) + ", column " +
                           std::string(note.column) + " was not understood");
    }

    std::vector<care_report> reports;
    std::vector<std::string> problems;
};

// A row of expected.csv.
struct asked {
    std::string report;
    std::size_t set = 0;
    std::string asks;

    auto operator<=>(const asked&) const = default;
};

std::ostream& operator<<(std::ostream& out, const asked& a) {
    return out << a.report << " set " << a.set << " " << a.asks;
}

std::vector<asked> read_expected(const fs::path& file) {
    std::ifstream in(file);
    std::string line;
    std::getline(in, line);
    REQUIRE(line == "report,set,asks");
    std::vector<asked> rows;
    while (std::getline(in, line)) {
        std::istringstream cells(line);
        asked row;
        std::string set;
        std::getline(cells, row.report, ',');
        std::getline(cells, set, ',');
        std::getline(cells, row.asks, ',');
        row.set = std::stoul(set);
        rows.push_back(row);
    }
    return rows;
}

// A check that is asked of whole reports has XML, in which reports tell of their call.
all_reports read_input(const fs::path& folder) {
    const fs::path xml = folder / "input.xml";
    const fs::path file = fs::exists(xml) ? xml : folder / "input.csv";
    all_reports into;
    read::delimited_options reading;
    reading.zone = read::find_time_zone("America/New_York").zone;
    REQUIRE(reading.zone);
    const auto outcome = read::read_report_file(file.string(), reading, into);
    INFO(file << (outcome.error ? ": " + outcome.error->what : std::string()));
    REQUIRE(!outcome.error);
    const std::vector<std::string> none;  // compared with, so that a failure shows them
    CHECK(into.problems == none);
    // A row without any vital sign would pass as silent without having been examined.
    CHECK(outcome.rows_other == 0);
    CHECK(outcome.rows_read == outcome.rows_examined);
    return into;
}

std::vector<finding> findings_of(all_reports& input) {
    std::vector<finding> found;
    const auto keep = [&](std::span<const finding> of_set) {
        found.insert(found.end(), of_set.begin(), of_set.end());
    };
    examiner all;
    for (care_report report : input.reports) {
        report.as_of = as_of;
        all.add(report, keep);
    }
    all.finish(keep);
    return found;
}

// Whether a text holds "nan" or "inf" as a word: a number that was none.
bool holds_nan_or_inf(const std::string& text) {
    std::string word;
    for (const char c : text + ' ') {
        if (std::isalpha(static_cast<unsigned char>(c)) != 0) {
            word += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
        } else {
            if (word == "nan" || word == "inf") {
                return true;
            }
            word.clear();
        }
    }
    return false;
}

void require_whole(const std::string& text) {
    INFO(text);
    CHECK(!text.empty());
    CHECK(text.find('{') == std::string::npos);
    CHECK(!holds_nan_or_inf(text));
}

// No cell holds a level of responsiveness but alert to unresponsive, so its impossible code comes
// only from programs that fill columns or records themselves; tests/unit/examine.cpp has it.
bool text_cannot_reach(std::string_view code) { return code == "impossible.responsiveness"; }

}  // namespace

TEST_CASE("each check asks what its folder expects") {
    const std::size_t check = GENERATE(range(std::size_t{0}, check_count));
    const std::string code(check_table[check].code);
    const fs::path folder = folders / code;
    INFO(code);
    REQUIRE(fs::is_directory(folder));

    auto input = read_input(folder);
    std::vector<asked> found;
    for (const finding& f : findings_of(input)) {
        if (f.check == check) {
            found.push_back({f.report, f.set, std::string(name_of(f.info().asks))});
        }
    }
    std::vector<asked> expected = read_expected(folder / "expected.csv");
    for (const asked& row : expected) {
        INFO(row);
        CHECK(std::ranges::count(found, row) == 1);
    }
    for (const asked& row : found) {
        INFO(row);
        CHECK(std::ranges::count(expected, row) == 1);
    }
    CHECK(found.empty() == text_cannot_reach(code));
}

TEST_CASE("a check of reports fires on no set that does not concern it") {
    std::array<std::size_t, check_count> fired{};
    for (const auto& entry : fs::directory_iterator(folders)) {
        auto input = read_input(entry.path());
        for (care_report& report : input.reports) {
            report.as_of = as_of;
            put_in_order(report);
            for (const std::size_t check : checks_of_reports) {
                const detail::report_functions& of_check = detail::report_table[check];
                for (std::size_t set = 0; set < report.sets.size(); ++set) {
                    if (of_check.fires(report, set, limits{})) {
                        ++fired[check];
                        INFO(check_table[check].code << " of " << report.id);
                        CHECK((of_check.concerns == nullptr || of_check.concerns(report, set)));
                    }
                }
            }
        }
    }
    for (const std::size_t check : checks_of_reports) {
        INFO(check_table[check].code);
        CHECK(fired[check] != 0);
    }
}

TEST_CASE("checks of reports stand in one group each, in their order") {
    std::size_t next = 0;
    for (const detail::report_group& group : detail::report_groups) {
        CHECK(group.first == next);
        CHECK(group.end > group.first);
        for (std::size_t place = group.first; place < group.end; ++place) {
            CHECK(detail::report_table[checks_of_reports[place]].concerns == group.concerns);
        }
        next = group.end;
    }
    CHECK(next == checks_of_reports.size());
}

TEST_CASE("each folder holds cases of both kinds, and of every context its check mentions") {
    const std::size_t check = GENERATE(range(std::size_t{0}, check_count));
    const check_info& info = check_table[check];
    const fs::path folder = folders / info.code;
    INFO(info.code);
    REQUIRE(fs::is_directory(folder));

    const auto input = read_input(folder);
    std::set<std::string> fires;
    for (const asked& row : read_expected(folder / "expected.csv")) {
        fires.insert(row.report);
    }
    std::set<std::string> ids;
    std::size_t silent = 0;
    std::size_t moves = 0;
    std::size_t keeps = 0;
    for (const care_report& report : input.reports) {
        INFO(report.id);
        CHECK(ids.insert(report.id).second);
        const bool is_asked = fires.contains(report.id);
        silent += is_asked ? 0U : 1U;
        if (report.id.starts_with("context-")) {
            moves += is_asked ? 0U : 1U;
            keeps += is_asked ? 1U : 0U;
        } else if (report.id.starts_with("silent-")) {
            CHECK(!is_asked);
        } else {
            CHECK(is_asked);
        }
    }
    CHECK(silent > 0);
    for (const std::string& id : fires) {
        INFO(id);
        CHECK(ids.contains(id));
    }
    if (!info.context.empty()) {
        CHECK(moves > 0);
        CHECK(keeps > 0);
    }
}

TEST_CASE("each folder belongs to a check") {
    std::size_t seen = 0;
    for (const auto& entry : fs::directory_iterator(folders)) {
        INFO(entry.path());
        CHECK(find_check(entry.path().filename().string()));
        ++seen;
    }
    CHECK(seen == check_count);
}

TEST_CASE("the texts of every finding are whole") {
    const message_writer writer{limits{}};
    std::size_t read = 0;
    for (const auto& entry : fs::directory_iterator(folders)) {
        auto input = read_input(entry.path());
        for (const finding& f : findings_of(input)) {
            INFO(f.info().code << " of " << f.report);
            require_whole(writer.title(f));
            require_whole(writer.question(f));
            require_whole(writer.expected(f));
            require_whole(writer.charted(f));
            ++read;
        }
    }
    CHECK(read > check_count);
}
