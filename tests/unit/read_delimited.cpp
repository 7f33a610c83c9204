// Whole files: rows into reports, the account of rows, context, and files that are none.
#include "read_support.hpp"

#include <catch2/catch.hpp>
#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <map>
#include <random>
#include <set>
#include <sstream>

namespace {

using namespace reading;
using read::note_kind;

constexpr std::string_view month =
    "Report,Crew,Taken At,SBP,DBP,Pulse,RR,SpO2,BGL,Temp (F),GCS,AVPU\n"
    "R1,M7,2024-03-05T14:32,120,80,72,16,98,105,98.6,15,A\n"
    "R1,M7,2024-03-05T14:40,118,P,75,16,97,HI,,15,A\n"
    "R2,M8,2024-03-05T15:00,,,,,,,,,\n"
    "R3,M8,2024-03-05T15:10,12O,80,refused,16,98,,98.6,15,Z\n";

// A folder of its own for files that must be on disk.
class scratch {
public:
    scratch()
        : path_(std::filesystem::temp_directory_path() /
                ("vitalproof_read_" + std::to_string(::getpid()))) {
        std::filesystem::create_directories(path_);
    }
    ~scratch() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    scratch(const scratch&) = delete;
    scratch& operator=(const scratch&) = delete;

    std::string folder() const { return path_.string(); }
    std::string file(std::string_view text) const {
        const auto path = path_ / "month.csv";
        std::ofstream(path, std::ios::binary) << text;
        return path.string();
    }

private:
    std::filesystem::path path_;
};

// Everything a sink saw, as text: for comparing two ways of reading one file.
std::string told(const file& f) {
    std::ostringstream out;
    for (std::size_t i = 0; i < f.kept.reports.size(); ++i) {
        const care_report& r = f.kept.reports[i];
        out << r.id << '|' << r.crew << '|' << f.kept.first_lines[i] << '\n';
        for (const vital_set& set : r.sets) {
            out << set.line;
            for_each_sign(all_signs{}, [&](auto sign) {
                out << ' ' << static_cast<int>(set[sign].state()) << ':' << set[sign].raw() << ':'
                    << set.charted[sign].display();
            });
            out << '\n';
        }
    }
    for (const kept_row& u : f.kept.unread_rows) {
        out << u.line << ' ' << u.text << ' ' << u.reason << '\n';
    }
    out << f.error() << f.outcome.rows_read << ' ' << f.outcome.rows_other << f.outcome.digest;
    return out.str();
}

}  // namespace

TEST_CASE("a month of reports") {
    const file f(month);
    REQUIRE(f.error().empty());
    CHECK(f.adds_up());
    CHECK(f.outcome.rows_read == 4);
    CHECK(f.outcome.rows_examined == 3);
    CHECK(f.outcome.rows_other == 1);
    CHECK(f.outcome.reports == 2);
    REQUIRE(f.reports().size() == 2);
    CHECK(f.reports()[0].id == "R1");
    CHECK(f.reports()[0].crew == "M7");
    REQUIRE(f.reports()[0].sets.size() == 2);
    CHECK(f.kept.first_lines == std::vector<std::uint64_t>{2, 5});
    const vital_set& first = f.reports()[0].sets[0];
    CHECK(first.line == 2);
    CHECK(first.systolic.raw() == 120);
    CHECK(first.temperature.raw() == Approx(37).epsilon(1e-12));
    CHECK(first.charted[sign::temperature{}].text() == "98.6 °F");
    CHECK(first.responsiveness.raw() == 1);
    REQUIRE(first.taken_at.has_value());
    CHECK(first.taken_at->local.time_since_epoch() == std::chrono::seconds(1709649120));
    CHECK(first.mean_pressure.state() == reading_state::absent);
    CHECK(first.mean_pressure.why_absent() == absence::not_carried);
}

TEST_CASE("a palpated pressure, HI, and what cannot be read") {
    const file f(month);
    const vital_set& second = f.reports().at(0).sets.at(1);
    CHECK(second.systolic.how() == method::palpated);
    CHECK(second.diastolic.how() == method::palpated);
    CHECK(second.diastolic.why_absent() == absence::not_applicable);
    CHECK(second.glucose.state() == reading_state::above);
    CHECK(second.temperature.why_absent() == absence::blank);
    const vital_set& last = f.reports().at(1).sets.at(0);
    CHECK(last.systolic.state() == reading_state::unreadable);
    CHECK(last.charted[sign::systolic{}].text() == "12O");
    CHECK(last.pulse.why_absent() == absence::refused);
    CHECK(last.responsiveness.state() == reading_state::unreadable);
    CHECK(last.diastolic.raw() == 80);
}

TEST_CASE("a remark behind a value is known of its set, and a column of its own outranks it") {
    const file f(
        "report,sbp,pulse,spo2,rr,oxygen\n"
        "A,80 palp,110 irregular,98% RA,12 BVM,\n"
        "A,120,70,97,16,\n"
        "A,120,70,98% RA,16,yes\n");
    const std::vector<vital_set>& sets = f.reports().at(0).sets;
    CHECK(sets[0].systolic.how() == method::palpated);
    CHECK(sets[0].known.is(fact::irregular_rhythm));
    CHECK(sets[0].known.is(fact::ventilated));
    CHECK(sets[0].known.is_not(fact::oxygen));
    CHECK(sets[1].known == facts());
    CHECK(sets[2].known.is(fact::oxygen));
}

TEST_CASE("ages in the unit that stands beside them, or behind the number") {
    const auto age_of = [](const std::string& age, const std::string& unit) {
        const file f("report,pulse,Age,Age Units\nA,70," + age + ',' + unit + '\n');
        const auto years = f.reports().at(0).age;
        return years ? years->count() : -1;
    };
    CHECK(age_of("45", "Years") == 45);
    CHECK(age_of("8", "Months") == Approx(8.0 / 12));
    CHECK(age_of("8", "2516007") == Approx(8.0 / 12));  // NEMSIS v3.5, ePatient.16
    CHECK(age_of("8 mo", "Years") == Approx(8.0 / 12));
    CHECK(age_of("45y/o", "") == 45);
    CHECK(age_of("6 weeks", "") == Approx(6.0 * 7 / 365.2425));
    CHECK(age_of("8", "") == -1);  // months and years look the same
    CHECK(age_of("8", "fortnights") == -1);
    CHECK(age_of("8 m", "") == -1);
    CHECK(file("report,pulse,age\nA,70,8\n").reports().at(0).age->count() == 8);
}

TEST_CASE("cells that say nothing are no complaint, whatever their column") {
    const file f(
        "report,taken_at,sbp,pulse,bp_method,arrest,age,disposition\n"
        "A,7701003,7701003,70,Not Recorded,N/A,Not Applicable,-\n"
        "A,--,120,70,7701003,--,7701001,Not Recorded\n"
        "A,2026-03-01T10:00,1234567,70,palp,yes,40,transported\n");
    CHECK(f.kept.notes.empty());
    const std::vector<vital_set>& sets = f.reports().at(0).sets;
    CHECK(sets[0].systolic.why_absent() == absence::not_recorded);
    CHECK_FALSE(sets[1].taken_at.has_value());
    CHECK(sets[2].systolic.raw() == 1'234'567);
    CHECK(f.reports().at(0).age->count() == 40);
}

TEST_CASE("methods, rhythms and breathing in the words of the national standard") {
    const file f(
        "report,sbp,pulse,bp_method,heart rate method,rhythm,respiratory effort\n"
        "A,120,70,Cuff-Manual Palpated Only,Electronic Monitor - Pulse Oximeter,"
        "\"Sinus Tachycardia; Premature Ventricular Contractions\",Normal\n"
        "A,120,70,Venous Line,Auscultated,Paced Rhythm,\"Mechanically Assisted (BVM, CPAP, "
        "etc.)\"\n"
        "A,120,70,3308005,3311005,PEA,Labored\n"
        "A,120,70,,,Regular,\n"
        "A,120,70,Peaked,Peaked,Peaked T waves,Peaked\n");
    const std::vector<vital_set>& sets = f.reports().at(0).sets;
    CHECK(sets[0].systolic.how() == method::palpated);
    CHECK(sets[0].pulse.how() == method::by_oximeter);
    CHECK(sets[0].known == facts().state(fact::irregular_rhythm, true));
    CHECK(sets[1].systolic.how() == method::unknown);
    CHECK(sets[1].known == facts().state(fact::paced, true).state(fact::ventilated, true));
    CHECK(sets[2].systolic.how() == method::cuff_machine);
    CHECK(sets[2].ecg_rate.raw() == 70);
    CHECK(sets[2].known == facts().state(fact::arrest, true));
    CHECK(sets[3].known == facts().state(fact::irregular_rhythm, false));
    CHECK(sets[4].known == facts());
    CHECK(f.outcome.unreadable_context.count == 2);  // of methods: there are many rhythms
}

TEST_CASE("an unreadable cell in every sign leaves its row examined") {
    std::string header = "report";
    std::string row = "R1";
    for (const sign_info& sign : sign_table) {
        header += ',' + std::string(sign.name);
        row += ",12O";
    }
    const file f(header + '\n' + row + '\n');
    CHECK(f.outcome.rows_examined == 1);
    for_each_sign(all_signs{}, [&](auto sign) {
        INFO(sign.info.name);
        CHECK(f.only_set()[sign].state() == reading_state::unreadable);
        CHECK(f.only_set().charted[sign].text() == "12O");
    });
}

TEST_CASE("absence words are values, empty cells are not") {
    const file f("report,pulse,sbp\nR1,refused,\nR2,,\nR3, ,\t\nR4,-,\n");
    CHECK(f.outcome.rows_examined == 2);
    CHECK(f.outcome.rows_other == 2);
    CHECK(f.adds_up());
}

TEST_CASE("the rows of a report are gathered from between those of others") {
    const file f("report,crew,pulse\nA,,1\nA,,2\nB,M2,3\nA,M1,4\nB,M2,5\nC,,6\n");
    REQUIRE(f.reports().size() == 3);
    CHECK(f.reports()[0].id == "A");
    CHECK(f.reports()[0].crew == "M1");
    REQUIRE(f.reports()[0].sets.size() == 3);
    CHECK(f.reports()[0].sets[2].pulse.raw() == 4);
    CHECK(f.reports()[1].sets.size() == 2);
    CHECK(f.kept.first_lines == std::vector<std::uint64_t>{2, 4, 7});
    CHECK(f.outcome.reports == 3);
    CHECK(f.outcome.runs_joined == 2);
    CHECK(f.outcome.identifiers_again.count == 0);
}

TEST_CASE("one identifier with two crews or two ages is two reports, and counted") {
    const file f("report,crew,age,pulse\nA,M1,70,1\nB,M1,70,2\nA,M2,70,3\nA,M2,,4\nB,M1,71,5\n");
    REQUIRE(f.reports().size() == 4);
    CHECK(f.reports()[2].id == "A");
    CHECK(f.reports()[2].sets.size() == 2);
    CHECK(f.outcome.identifiers_again.count == 2);
    CHECK(f.outcome.identifiers_again.first_line == 4);
}

TEST_CASE("rows too far apart to gather are counted, in bounded memory") {
    read::delimited_options options;
    options.gathering.reports = 3;
    const file f("report,pulse\nA,1\nB,2\nC,3\nD,4\nA,5\nD,6\n", options);
    REQUIRE(f.reports().size() == 5);
    CHECK(f.reports()[3].sets.size() == 2);  // D was still open
    CHECK(f.outcome.identifiers_again.count == 1);
    CHECK(f.outcome.identifiers_again.first_line == 6);
    CHECK(f.outcome.rows_examined == 6);
}

TEST_CASE("shuffled rows give the reports of sorted ones") {
    std::vector<std::string> rows;
    for (int id = 0; id < 40; ++id) {
        for (int set = 0; set < 5; ++set) {
            rows.push_back("R" + std::to_string(id) + ',' + std::to_string(60 + set) + '\n');
        }
    }
    const auto text_of = [&rows] {
        std::string text = "report,pulse\n";
        for (const std::string& row : rows) {
            text += row;
        }
        return text;
    };
    const auto counted = [](const file& f) {
        std::map<std::string, std::multiset<double>> pulses;
        for (const care_report& report : f.reports()) {
            CHECK(!pulses.contains(report.id));
            for (const vital_set& set : report.sets) {
                pulses[report.id].insert(set.pulse.raw());
            }
        }
        return pulses;
    };
    const auto sorted = counted(file(text_of()));
    CHECK(sorted.size() == 40);
    std::mt19937 order(7);
    std::ranges::shuffle(rows, order);
    CHECK(counted(file(text_of())) == sorted);
}

TEST_CASE("rows without signs lend their report a crew and an age") {
    const file f("report,crew,age,pulse\nA,M1,70,\nA,M2,71,80\nB,,,90\n");
    REQUIRE(f.reports().size() == 2);
    CHECK(f.reports()[0].crew == "M1");
    REQUIRE(f.reports()[0].age.has_value());
    CHECK(f.reports()[0].age->count() == 70);
    CHECK(f.reports()[1].crew.empty());
    CHECK_FALSE(f.reports()[1].age.has_value());
}

TEST_CASE("a long run comes in several calls") {
    read::delimited_options options;
    options.gathering.sets = 2;
    const file f("report,pulse\nA,1\nA,2\nA,3\nA,4\nA,5\n", options);
    REQUIRE(f.reports().size() == 3);
    CHECK(f.reports()[1].id == "A");
    CHECK(f.reports()[1].sets.size() == 2);
    CHECK(f.reports()[2].sets.at(0).pulse.raw() == 5);
    CHECK(f.outcome.rows_examined == 5);
}

TEST_CASE("ragged rows") {
    const file f(
        "report,pulse,sbp,dbp\n"
        "A,80\n"
        "B,81,120,80,,\n"
        "C,82,120,80,extra\n"
        "D\n"
        ",83,120,80\n"
        ",,,\n"
        "  \n"
        ",,,note\n");
    CHECK(f.adds_up());
    CHECK(f.outcome.rows_examined == 2);
    CHECK(f.outcome.rows_other == 2);
    REQUIRE(f.kept.unread_rows.size() == 3);
    CHECK(f.reports().at(0).sets.at(0).systolic.why_absent() == absence::blank);
    CHECK(f.kept.unread_rows[0].line == 4);
    CHECK(f.kept.unread_rows[0].reason ==
          "row has 5 cells, the header 4: a stray comma or an unclosed quote?");
    CHECK(f.kept.unread_rows[0].text == "text of 17 characters");
    CHECK(f.kept.unread_rows[1].line == 6);
    CHECK(f.kept.unread_rows[1].reason == "no report identifier");
    CHECK(f.kept.unread_rows[2].line == 9);
    for (const kept_row& u : f.kept.unread_rows) {
        CHECK_FALSE(u.remedy.empty());
    }
}

TEST_CASE("a row too short to reach its report column is unread") {
    const file f("pulse,sbp,report\n80,120\n80,120,A\n");
    CHECK(f.outcome.rows_examined == 1);
    REQUIRE(f.kept.unread_rows.size() == 1);
    CHECK(f.kept.unread_rows[0].line == 2);
}

TEST_CASE("a stray quote costs its own line alone") {
    SECTION("closed by a quote of a later line") {
        const file f("report,pulse,note\nA,80,\"half\nB,81,fine\nC,82,\"whole\"\nD,83,x\n");
        REQUIRE(f.kept.unread_rows.size() == 1);
        CHECK(f.kept.unread_rows[0].line == 2);
        CHECK(f.outcome.rows_examined == 3);
        CHECK(f.reports().at(0).id == "B");
        CHECK(f.reports().at(0).sets.at(0).line == 3);
        CHECK(f.reports().at(2).sets.at(0).line == 5);
    }
    SECTION("never closed") {
        const file f("report,pulse,note\nA,80,\"half\nB,81,fine\nC,82,x\n");
        REQUIRE(f.kept.unread_rows.size() == 1);
        CHECK(f.kept.unread_rows[0].line == 2);
        CHECK(f.outcome.rows_examined == 2);
    }
    SECTION("at the front of a line") {
        const file f("report,pulse\n\"A,80\nB,81\n\"C\",82\n");
        REQUIRE(f.kept.unread_rows.size() == 1);
        CHECK(f.outcome.rows_examined == 2);
    }
    SECTION("an honest cell of two lines is kept") {
        const file f("report,pulse,note\nA,80,\"two\nlines\"\nB,81,x\n");
        CHECK(f.kept.unread_rows.empty());
        CHECK(f.outcome.rows_examined == 2);
        CHECK(f.reports().at(1).sets.at(0).line == 4);
    }
}

TEST_CASE("rows with a NUL byte, or too long, are unread and the rest is read") {
    const file nul("report,pulse\nA,80\nB,8\0001\nC,82\n"sv);
    CHECK(nul.outcome.rows_examined == 2);
    REQUIRE(nul.kept.unread_rows.size() == 1);
    CHECK(nul.kept.unread_rows[0].line == 3);
    const file wide("report,pulse\nA,80\nB," + std::string(1'500'000, '9') + "\nC,82\n");
    CHECK(wide.outcome.rows_examined == 2);
    REQUIRE(wide.kept.unread_rows.size() == 1);
    CHECK(wide.kept.unread_rows[0].line == 3);
    CHECK(wide.adds_up());
}

TEST_CASE("a header that comes again is not a row of values") {
    const file f("report,pulse\nA,80\nreport,pulse\nB,81\n");
    CHECK(f.outcome.rows_examined == 2);
    REQUIRE(f.kept.unread_rows.size() == 1);
    CHECK(f.kept.unread_rows[0].reason == "the header again");
}

TEST_CASE("context of a set") {
    const file f(
        "report,pulse,sbp,dbp,map,arrest,tube,source,pressure method,pulse method\n"
        "A,80,120,80,93,yes,0,monitor,NIBP,pleth\n"
        "A,80,120,80,93,,TRUE,charted,manual,felt\n"
        "A,80,120,,93,maybe,n,,palp,\n"
        "A,80,120,80,93,,,,A-line,finger\n");
    REQUIRE(f.reports().size() == 1);
    const auto& sets = f.reports()[0].sets;
    REQUIRE(sets.size() == 4);
    CHECK(sets[0].known.is(fact::arrest));
    CHECK(sets[0].known.is_not(fact::airway_tube));
    CHECK(sets[0].known.is(fact::captured));
    CHECK(sets[0].systolic.how() == method::cuff_machine);
    CHECK(sets[0].mean_pressure.how() == method::cuff_machine);
    CHECK(sets[0].pulse.how() == method::by_oximeter);
    CHECK_FALSE(sets[1].known.known(fact::arrest));
    CHECK(sets[1].known.is(fact::airway_tube));
    CHECK(sets[1].known.is_not(fact::captured));
    CHECK(sets[1].diastolic.how() == method::cuff_by_ear);
    CHECK(sets[1].pulse.how() == method::felt);
    CHECK(sets[2].systolic.how() == method::palpated);
    CHECK(sets[2].mean_pressure.how() == method::unknown);
    CHECK(sets[3].systolic.how() == method::arterial);
    CHECK(f.outcome.unreadable_context.count == 2);
    CHECK(f.outcome.unreadable_context.first_line == 4);
    REQUIRE(f.kept.notes.size() == 2);
    CHECK(f.kept.notes[0].kind == note_kind::unreadable_context);
    CHECK(f.kept.notes[0].column == "arrest");
    CHECK(f.kept.notes[1].column == "pulse method");
}

TEST_CASE("a diastolic charted as P outranks the method column") {
    const file f("report,sbp,dbp,pressure method\nA,110,P,machine\n");
    CHECK(f.only_set().systolic.how() == method::palpated);
}

TEST_CASE("a pulse counted by the ECG is the ECG rate") {
    const file f("report,pulse,pulse method\nA,80,ECG\nA,HI,monitor\nA,8O,ecg\n");
    const auto& sets = f.reports().at(0).sets;
    CHECK(sets.at(0).ecg_rate.raw() == 80);
    CHECK(sets[0].ecg_rate.how() == method::by_ecg);
    CHECK(sets[0].pulse.state() == reading_state::absent);
    CHECK(sets.at(1).ecg_rate.state() == reading_state::above);
    CHECK(sets.at(2).ecg_rate.state() == reading_state::unreadable);
    CHECK(sets[2].charted[sign::ecg_rate{}].text() == "8O");
    const file both("report,pulse,ecg rate,pulse method\nA,80,82,ecg\n");
    CHECK(both.only_set().ecg_rate.raw() == 82);
    CHECK(both.only_set().pulse.raw() == 80);
    CHECK(both.only_set().pulse.how() == method::by_ecg);
}

TEST_CASE("ages") {
    const file f("report,age months,pulse\nA,18,80\nB,old,80\nB,24,80\nC,-1,80\n");
    REQUIRE(f.reports().size() == 3);
    CHECK(f.reports()[0].age.value().count() == Approx(1.5));
    CHECK(f.reports()[1].age.value().count() == Approx(2));
    CHECK_FALSE(f.reports()[2].age.has_value());
    CHECK(f.outcome.unreadable_ages.count == 2);
    CHECK(f.outcome.unreadable_ages.first_line == 3);
    const file days("report,age (days),pulse\nA,365.2425,80\n");
    CHECK(days.reports().at(0).age.value().count() == Approx(1));
}

TEST_CASE("times that cannot be used are counted, and their rows examined") {
    const file f("report,time,pulse\nA,2024-03-05,80\nA,noon,81\nA,,82\nA,26:10,83\nA,3pm,84\n");
    CHECK(f.outcome.rows_examined == 5);
    CHECK(f.outcome.dates_without_time.count == 1);
    CHECK(f.outcome.dates_without_time.first_line == 2);
    CHECK(f.outcome.unreadable_times.count == 2);
    CHECK(f.outcome.unreadable_times.first_line == 3);
    CHECK(f.outcome.elapsed_times.count == 1);
    CHECK(f.outcome.elapsed_times.first_line == 5);
    const auto& sets = f.reports().at(0).sets;
    CHECK_FALSE(sets.at(0).taken_at.has_value());
    CHECK_FALSE(sets.at(1).taken_at.has_value());
    CHECK(sets.at(3).taken_at.value().local.time_since_epoch() == 26h + 10min);
    REQUIRE(f.kept.notes.size() == 3);
    CHECK(f.kept.notes[0].kind == note_kind::date_without_time);
    CHECK(f.kept.notes[1].text == "text of 4 characters");
}

TEST_CASE("a header alone is no error") {
    const file f("report,pulse\n");
    CHECK(f.error().empty());
    CHECK(f.outcome.rows_read == 0);
    CHECK(f.reports().empty());
    CHECK(f.outcome.columns.columns.size() == 2);
}

TEST_CASE("files that are no delimited text") {
    CHECK(file("").error() == "the file is empty");
    CHECK(file("\n\n\r\n").error() == "the file is empty");
    CHECK(file("\xEF\xBB\xBF").error() == "the file is empty");
    CHECK(file("\x1F\x8B\x08\0\0\0"sv).error() ==
          "reading broke off after 6 bytes: the gzip archive ends too soon");
    CHECK(file("PK\x03\x04rest").error() == "this is a workbook or a ZIP archive");
    CHECK(file("%PDF-1.7\n").error() == "this is a PDF document");
    CHECK(file("\x89PNG\r\n\x1A\n").error() == "this is a picture");
    CHECK(file("\xFF\xFE\0\0r\0\0\0"sv).error() == "this is UTF-32 text");
    CHECK(file("\0\0\xFE\xFF\0\0\0r"sv).error() == "this is UTF-32 text");
    CHECK(file("\x7F"
               "ELF\0\0\0\0"sv)
              .error() == "this is not text: its first line holds NUL bytes");
    CHECK(file("\"report,pulse\nA,80\n").error().starts_with("the header cannot be read"));
    CHECK(file(std::string(1'200'000, 'x')).error().starts_with("the header cannot be read"));
    CHECK(file("name,pulse\nA,80\n").error().starts_with("no column names the report"));
    for (const auto text : {"", "PK\x03\x04", "name,pulse\n", "report,name\n"}) {
        CHECK_FALSE(file(text).outcome.error.value().remedy.empty());
    }
}

TEST_CASE("a picture is not read for rows") {
    const file f("%PDF-1.7\nreport,pulse\nA,80\n");
    CHECK(f.outcome.rows_read == 0);
    CHECK(f.reports().empty());
}

TEST_CASE("reading that breaks off keeps what was read") {
    const auto text = "report,pulse\nA,80\nB,81\nC,8234\n"sv;
    halting_source source(text, 5, text.size() - 3);
    memory_sink kept;
    const auto outcome = read::read_delimited(source, "x.csv", {}, kept);
    REQUIRE(outcome.error.has_value());
    CHECK(outcome.error->what == "reading broke off after 27 bytes: the line went dead");
    CHECK(outcome.rows_examined == 2);
    CHECK(outcome.rows_unread == 1);
    REQUIRE(kept.unread_rows.size() == 1);
    CHECK(kept.unread_rows[0].line == 4);
    CHECK(kept.reports.size() == 2);
}

TEST_CASE("files on disk, folders, and files that are not there") {
    const scratch place;
    memory_sink kept;
    const auto outcome = read::read_delimited_file(place.file(month), {}, kept);
    CHECK_FALSE(outcome.error.has_value());
    CHECK(outcome.bytes == month.size());
    CHECK(kept.reports.size() == 2);
    CHECK(outcome.digest == file(month).outcome.digest);
    const auto folder = read::read_delimited_file(place.folder(), {}, kept);
    CHECK(folder.error.value().what == "this is a folder");
    const auto missing = read::read_delimited_file(place.folder() + "/none.csv", {}, kept);
    CHECK(missing.error.value().what.starts_with("the file cannot be opened"));
    CHECK_FALSE(missing.error.value().remedy.empty());
}

TEST_CASE("the digest is XXH3-128 of all bytes") {
    // The value every XXH3-128 has for no input.
    CHECK(file("").outcome.digest == "99aa06d3014798d86001c324468d497f");
    CHECK(file(month).outcome.digest.size() == 32);
    const std::string longer = std::string(month).append("\n");
    CHECK(file(month).outcome.digest != file(longer).outcome.digest);
    CHECK(file(month).outcome.bytes == month.size());
}

TEST_CASE("other delimiters") {
    read::delimited_options options;
    options.text.delimiter = ';';
    const file f("report;pulse\nA;80\n", options);
    CHECK(f.only_set().pulse.raw() == 80);
}

TEST_CASE("a file with every cell quoted, or none, says the same") {
    const file plain("report,crew,pulse,temp\nA,M1,80,36.6\nB,M2,81,\n");
    const file quoted(
        "\"report\",\"crew\",\"pulse\",\"temp\"\r\n\"A\",\"M1\",\"80\",\"36.6\"\r\n"
        "\"B\",\"M2\",\"81\",\"\"\r\n");
    REQUIRE(plain.reports().size() == 2);
    REQUIRE(quoted.reports().size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
        CHECK(plain.reports()[i].id == quoted.reports()[i].id);
        CHECK(plain.reports()[i].sets.at(0).pulse.raw() ==
              quoted.reports()[i].sets.at(0).pulse.raw());
    }
}

TEST_CASE("the size of a piece changes nothing in a whole file") {
    std::mt19937 random(3);
    constexpr auto alphabet = "AB,,,,80 9.\"\n\r\0x"sv;
    for (int round = 0; round < 60; ++round) {
        std::string text = "report,pulse,temp f,note\nA,80,98.6,\n";
        for (int i = 0; i < 600; ++i) {
            text += random() % 9 == 0 ? "\nA,80,"
                                      : std::string(1, alphabet[random() % alphabet.size()]);
        }
        read::delimited_options options;
        options.text.longest_row = 300;
        const file whole(text, options);
        REQUIRE(whole.adds_up());
        REQUIRE(whole.outcome.rows_examined > 0);
        for (const std::size_t piece : {1U, 5U, 64U, 257U}) {
            options.text.piece_bytes = piece;
            INFO("round " << round << ", pieces of " << piece);
            REQUIRE(told(file(text, options)) == told(whole));
        }
    }
}
