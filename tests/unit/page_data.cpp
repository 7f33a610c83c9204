// What the reviewer's page keeps of an audit while it runs: the gravest, whole, and no more.
#include "write/page_data.hpp"

#include <vitalproof/examine.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cstdlib>
#include <deque>
#include <memory>
#include <string>
#include <vector>

using namespace vitalproof;
using vitalproof::write::page_bounds;
using vitalproof::write::page_data;

namespace {

/// Two sets, one of which cannot stand where `bad`, and a low pressure in the other.
care_report report_of(std::size_t number, bool bad) {
    care_report report;
    report.id = "R" + std::to_string(number);
    report.crew = "M1";
    for (const double systolic : {85.0, bad ? 1139.0 : 84.0}) {
        vital_set set;
        set.line = 2 * number + report.sets.size() + 1;
        set.systolic = systolic * mmHg;
        set.diastolic = 60.0 * mmHg;
        report.sets.push_back(set);
    }
    return report;
}

/// As an audit fills it, by so many parts in turn; one report of `every` holds what cannot stand.
void fill(page_data& page, std::size_t reports, std::size_t every, std::size_t parts = 1) {
    examiner with;
    write::worded in_words{limits{}};
    std::deque<write::page_part> waiting;
    const auto take = [&](std::span<const finding> of_set, const care_report& of_report) {
        in_words.start_set(of_set.front());
        for (const finding& f : of_set) {
            in_words.take(f);
            waiting.back().add("week.csv", f, in_words, of_report);
        }
    };
    for (std::size_t i = 0; i < reports;) {
        waiting.emplace_back(page.new_part());
        for (const std::size_t end = std::min(i + 10, reports); i < end; ++i) {
            care_report report = report_of(i, i % every == every - 1);
            with.add(report, take);
        }
        with.finish(take);
        if (waiting.size() == parts || i == reports) {
            std::ranges::for_each(waiting, [&](const auto& part) { page.take(part); });
            waiting.clear();
        }
    }
    page.finish();
}

/// All that is written of it.
std::string all_of(page_data& page) {
    std::string text = std::to_string(page.left_out());
    for (const auto& report : page.reports()) {
        text += "\n";
        page.append_to(text, report.crew());
        page.append_to(text, report.head());
        page.append_to(text, report.sets());
    }
    for (const auto& f : page.findings()) {
        text += "\n" + std::to_string(f.report) + ":" + std::to_string(f.gravity);
        page.append_to(text, f.text());
    }
    return text;
}

std::string text_of(page_data& page, page_data::place place) {
    std::string text;
    page.append_to(text, place);
    return text;
}

std::size_t count_rejects(const page_data& page) {
    return static_cast<std::size_t>(std::ranges::count(
        page.findings(), page.findings().front().gravity, &page_data::finding_entry::gravity));
}

}  // namespace

TEST_CASE("a page within its bounds holds every finding and its report") {
    page_data page;
    fill(page, 40, 4);
    CHECK(page.left_out() == 0);
    CHECK(page.reports().size() == 40);
    CHECK(std::ranges::is_sorted(page.findings(), {}, &page_data::finding_entry::gravity));
    // What cannot stand is charted in second sets, and comes first.
    CHECK(text_of(page, page.findings().front().text()).starts_with("2,"));
    for (std::size_t i = 0; i < page.reports().size(); ++i) {
        const auto& report = page.reports()[i];
        CHECK(text_of(page, report.head()).starts_with("\"id\":\"R" + std::to_string(i) + "\""));
        CHECK(text_of(page, report.sets()).starts_with("[1,"));
    }
    CHECK(!page.failed());
}

TEST_CASE("beyond its bounds a page keeps the gravest, in reports that still are theirs") {
    page_data all;
    fill(all, 3000, 10);
    const std::size_t gravest = count_rejects(all);
    REQUIRE(gravest > 100);
    REQUIRE(gravest < all.findings().size() / 2);

    page_data few({.findings = 100});
    fill(few, 3000, 10);
    CHECK(few.findings().size() == 100);
    CHECK(few.left_out() == all.findings().size() - 100);
    for (const auto& f : few.findings()) {
        CHECK(f.gravity == all.findings().front().gravity);
        REQUIRE(f.report < few.reports().size());
        // Every tenth report holds one, and the page says so of no other.
        const std::string head = text_of(few, few.reports()[f.report].head());
        CHECK(head.substr(0, head.find(',')).ends_with("9\""));
    }
    // Those that came first, whole: the same texts as where all are kept.
    for (std::size_t i = 0; i < few.findings().size(); ++i) {
        CHECK(text_of(few, few.findings()[i].text()) == text_of(all, all.findings()[i].text()));
    }
}

TEST_CASE("a page is the same, however many parts are filled before one is taken") {
    const page_bounds bounds =
        GENERATE(page_bounds{}, page_bounds{.findings = 100}, page_bounds{.bytes = 20'000},
                 page_bounds{.findings = 300, .sets_of_report = 1});
    page_data one(bounds);
    fill(one, 3000, 10);
    page_data many(bounds);
    fill(many, 3000, 10, 7);
    CHECK(all_of(many) == all_of(one));
}

TEST_CASE("a report that goes on in the next part is one on the page") {
    const auto filled = [](bool in_parts) {
        auto page = std::make_unique<page_data>(page_bounds{.sets_of_report = 1});
        write::worded in_words{limits{}};
        write::page_part part = page->new_part();
        care_report report = report_of(1, true);
        examiner with;
        const auto take = [&](std::span<const finding> of_set, const care_report& of_report) {
            in_words.start_set(of_set.front());
            for (const finding& f : of_set) {
                in_words.take(f);
                part.add("week.csv", f, in_words, of_report);
                if (in_parts) {
                    page->take(part);
                    part.clear();
                }
            }
        };
        with.add(report, take);
        with.finish(take);
        page->take(part);
        page->finish();
        return page;
    };
    const auto whole = filled(false);
    CHECK(whole->reports().size() == 1);
    CHECK(whole->findings().size() == 2);  // one of each set
    CHECK(all_of(*filled(true)) == all_of(*whole));
}

TEST_CASE("of a long report the page shows the sets that have findings as well") {
    page_data page({.sets_of_report = 1});
    fill(page, 4, 2);
    // A reject in the second set of every other report, a low pressure in both sets of the rest.
    for (const auto& report : page.reports()) {
        const std::string sets = "[" + text_of(page, report.sets()) + "]";
        CHECK(sets.starts_with("[[1,"));
        CHECK(sets.find("],[2,") != std::string::npos);
        CHECK(sets.find("[2,") == sets.rfind("[2,"));
    }
}

TEST_CASE("a page is bounded by the bytes it shows as well") {
    constexpr std::size_t most = 20'000;
    page_data page({.bytes = most});
    fill(page, 500, 2);
    std::size_t bytes = 0;
    for (const auto& f : page.findings()) {
        bytes += f.size;
    }
    for (const auto& report : page.reports()) {
        bytes += report.shown();
    }
    CHECK(bytes <= most);
    CHECK(bytes > most / 2);
    CHECK(page.left_out() != 0);
}

TEST_CASE("texts in a scratch file are the same before and after they are written") {
    audit::scratch_file file;
    std::vector<std::string> texts;
    std::vector<audit::scratch_file::place> places;
    for (std::size_t i = 0; i < 4000; ++i) {
        texts.emplace_back(i % 300, static_cast<char>('a' + i % 26));
        places.push_back(file.add(texts.back()));
        // Now and then one that is still held, and one from long ago.
        const std::size_t other = i * 7919 % (i + 1);
        std::string again = "x";
        file.append_to(again, places.back());
        file.append_to(again, places[other]);
        REQUIRE(again == "x" + texts.back() + texts[other]);
    }
    CHECK(!file.failed());
}

TEST_CASE("a scratch file that cannot be kept says so") {
    const char* before = std::getenv("TMPDIR");
    const std::string kept = before == nullptr ? "" : before;
    ::setenv("TMPDIR", "/proc/self/fd", 1);
    audit::scratch_file file;
    const auto place = file.add(std::string(400'000, 'x'));
    std::string text;
    file.append_to(text, place);
    before == nullptr ? ::unsetenv("TMPDIR") : ::setenv("TMPDIR", kept.c_str(), 1);
    CHECK(file.failed());
    CHECK(text.empty());
}
