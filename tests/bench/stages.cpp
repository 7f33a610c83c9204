// bench_stages STAGE FILE: what an audit does with a file, up to a stage and no further; prints
// seconds and what came out of that stage as JSON. Stages: `read` (bytes), `parts` (rows of cells;
// in XML the text of each report and where its elements lie), `reports` (care reports), `examine`
// (sets with findings), `audit` (findings, counted by all an audit counts by, none written).
#include "audit/audit.hpp"
#include "measure.hpp"
#include "read/report_file.hpp"
#include "read/text_source.hpp"
#include "read/tokenizer.hpp"
#include "read/xml_splitter.hpp"
#include <vitalproof/examine.hpp>

#include <cstdint>
#include <cstdio>
#include <exception>
#include <functional>
#include <map>
#include <memory>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace {

using namespace vitalproof;

read::opened_file open(const std::string& path) {
    read::opened_file file = read::open_file(path);
    if (file.source == nullptr) {
        throw std::runtime_error(path + ": " + file.error);
    }
    return file;
}

std::uint64_t read_bytes(const std::string& path) {
    const read::opened_file file = open(path);
    std::vector<char> piece(std::size_t{1} << 17);
    std::uint64_t bytes = 0;
    for (std::ptrdiff_t got = 1; got > 0; bytes += static_cast<std::uint64_t>(got)) {
        got = file.source->read(piece.data(), piece.size());
    }
    return bytes;
}

std::uint64_t part_text(const std::string& path) {
    const read::opened_file file = open(path);
    read::text_source text(*file.source);
    if (text.open()) {
        throw std::runtime_error(path + " is no text");
    }
    std::uint64_t parts = 0;
    if (path.ends_with(".xml")) {
        read::xml_splitter reports(text, "PatientCareReport", "eVitals.VitalGroup");
        for (read::xml_piece piece; reports.next(piece); ++parts) {
        }
    } else {
        read::tokenizer rows(text);
        for (read::token_row row; rows.next(row); ++parts) {
        }
        --parts;  // the header
    }
    return parts;
}

/// Takes reports, and does with each what it is told to.
class report_taker final : public read::sink {
public:
    explicit report_taker(std::function<void(care_report&)> take) : take_(std::move(take)) {}
    void report(care_report& report, std::uint64_t /*first_line*/) override { take_(report); }
    void unread(const read::unread_row& /*row*/) override {}

private:
    std::function<void(care_report&)> take_;
};

std::uint64_t read_reports(const std::string& path) {
    std::uint64_t reports = 0;
    report_taker taker([&](care_report&) { ++reports; });
    read::read_report_file(path, {}, taker);
    return reports;
}

std::uint64_t examine_reports(const std::string& path) {
    std::uint64_t sets = 0;
    const auto count = [&](std::span<const finding>) { ++sets; };
    examiner one;
    report_taker taker([&](care_report& report) { one.add(report, count); });
    read::read_report_file(path, {}, taker);
    one.finish(count);
    return sets;
}

class finding_counter final : public audit::observer {
public:
    std::unique_ptr<audit::findings_part> new_part() const override {
        return std::make_unique<part>();
    }
    void take(audit::findings_part& one) override {
        count += std::exchange(static_cast<part&>(one).count, 0);
    }
    void found(const batch_finding& /*of_batch*/) override { ++count; }
    void unread(const read::unread_row& /*row*/) override {}

    std::uint64_t count = 0;

private:
    struct part final : audit::findings_part {
        void found(std::string_view /*file*/, std::span<const finding> of_set,
                   const care_report& /*of_report*/) override {
            count += of_set.size();
        }
        std::size_t bytes() const override { return 0; }

        std::uint64_t count = 0;
    };
};

std::uint64_t audit_without_writing(const std::string& path) {
    finding_counter counter;
    const std::vector<std::string> files{path};
    audit::audit_files(files, {}, counter);
    return counter.count;
}

}  // namespace

int main(int count, char** words) try {
    using stage = std::uint64_t (*)(const std::string&);
    const std::map<std::string, stage> stages{{"read", &read_bytes},
                                              {"parts", &part_text},
                                              {"reports", &read_reports},
                                              {"examine", &examine_reports},
                                              {"audit", &audit_without_writing}};
    const auto found = stages.find(count == 3 ? words[1] : "");
    if (found == stages.end()) {
        std::fprintf(stderr, "usage: %s read|parts|reports|examine|audit FILE\n", words[0]);
        return 2;
    }
    std::uint64_t amount = 0;
    const double seconds = bench::seconds_of([&] { amount = found->second(words[2]); });
    std::printf("{\"seconds\": %.9f, \"amount\": %llu}\n", seconds,
                static_cast<unsigned long long>(amount));
    return 0;
} catch (const std::exception& error) {
    std::fprintf(stderr, "bench_stages: %s\n", error.what());
    return 1;
}
