#include "audit/audit.hpp"

#include "audit/device_clocks.hpp"
#include "audit/relay.hpp"
#include "audit/repeated_reports.hpp"
#include "audit/two_halves.hpp"
#include "read/report_file.hpp"
#include <vitalproof/examine.hpp>
#include <vitalproof/order.hpp>

#include <algorithm>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

namespace vitalproof::audit {

namespace {

/// A file that tells how far it is, and whether it ended early because it was asked to.
class watched_source final : public read::byte_source {
public:
    watched_source(std::unique_ptr<read::byte_source> from, std::string_view name, observer& to)
        : from_(std::move(from)), name_(name), to_(to) {}

    std::ptrdiff_t read(char* into, std::size_t size) override {
        const std::ptrdiff_t got = from_->read(into, size);
        if (got > 0) {
            bytes_ += static_cast<std::uint64_t>(got);
            to_.progress(name_, bytes_);
        }
        return got;
    }

    std::string trouble() const override { return from_->trouble(); }
    bool stopped() const { return from_->trouble() == read::stopped_on_request; }

private:
    std::unique_ptr<read::byte_source> from_;
    std::string_view name_;
    observer& to_;
    std::uint64_t bytes_ = 0;
};

/// What is told of the batch at its end.
struct whole_batch {
    explicit whole_batch(const limits& in_force)
        : ask_clocks(in_force.is_on(batch_check::clock_device)),
          ask_repeated(in_force.is_on(batch_check::repeated_report)) {}

    void finish(account& total, observer& to) {
        const auto give = [&](std::vector<batch_finding> all) {
            for (batch_finding& f : all) {
                total.batch.push_back({std::move(f), 0});
                total.counts.add_finding(total.batch.back().about);
                to.found(total.batch.back().about);
            }
        };
        give(clocks.found());
        give(repeated.found());
        total.repeated_not_told = repeated.failed();
    }

    bool ask_clocks;
    bool ask_repeated;
    device_clocks clocks{};
    repeated_reports repeated{};
};

/// Puts the sets of reports in the order of their times, counts them and hands them on. Where a
/// file's form is not read in halves it is done by the thread that reads, since to examine them and
/// write is more work than to read.
class counting_sink final : public read::sink {
public:
    counting_sink(read::sink& to, whole_batch& batch, tally& charted)
        : to_(to), batch_(batch), charted_(charted) {}

    void understood(const read::understanding& columns) override { to_.understood(columns); }
    void report(care_report& report, std::uint64_t first_line) override {
        charted_.add_report(report);
        put_in_order(report);
        if (batch_.ask_repeated) {
            batch_.repeated.add(report);
        }
        to_.report(report, first_line);
    }
    void unread(const read::unread_row& row) override { to_.unread(row); }

private:
    read::sink& to_;
    whole_batch& batch_;
    tally& charted_;
};

/// Hands reports on to the examiner, and what it finds to the tally and the observer.
class examining_sink final : public read::sink {
public:
    examining_sink(const std::string& file, examiner& with, const options& chosen,
                   whole_batch& batch, account& total, observer& to)
        : file_(file), with_(with), chosen_(chosen), batch_(batch), total_(total), to_(to) {}

    void understood(const read::understanding& columns) override {
        columns_.emplace(file_, columns, chosen_.in_force, total_.batch);
        for (const batch_entry* entry : columns_->found()) {
            total_.counts.add_finding(entry->about);
            to_.found(entry->about);
        }
    }

    void report(care_report& report, std::uint64_t /*first_line*/) override {
        if (batch_.ask_clocks) {
            batch_.clocks.add_report(report);
        }
        report.as_of = chosen_.as_of;
        with_.add_ordered(report,
                          [this](std::span<const finding> of_set, const care_report& of_report) {
                              take(of_set, of_report);
                          });
    }

    void unread(const read::unread_row& row) override { to_.unread(row); }

    void finish() {
        with_.finish([this](std::span<const finding> of_set, const care_report& of_report) {
            take(of_set, of_report);
        });
    }

private:
    void take(std::span<const finding> of_set, const care_report& of_report) {
        if (columns_ && columns_->concern(of_set)) {  // FHIR and XML have no columns
            marked_.assign(of_set.begin(), of_set.end());
            columns_->mark(marked_);
            of_set = marked_;
        }
        total_.counts.add_findings(of_set);
        batch_.clocks.add_findings(of_set);
        to_.found(file_, of_set, of_report);
    }

    const std::string& file_;
    examiner& with_;
    const options& chosen_;
    whole_batch& batch_;
    account& total_;
    observer& to_;
    std::optional<column_findings> columns_;
    std::vector<finding> marked_;
};

void add_rows(account& total, const read::delimited_outcome& of_file) {
    total.rows_read += of_file.rows_read;
    total.rows_examined += of_file.rows_examined;
    total.rows_unread += of_file.rows_unread;
    total.rows_other += of_file.rows_other;
}

void audit_file(const std::string& path, const options& chosen, examiner& with, whole_batch& batch,
                tally& charted, account& total, observer& to) {
    const std::string name = read::shown_name(path);
    file_account of_file{name, {}};
    read::opened_file opened = read::open_file(path, chosen.stop);
    if (opened.source == nullptr) {
        of_file.outcome.error = {opened.error, opened.remedy};
        total.files.push_back(std::move(of_file));
        return;
    }
    watched_source source(std::move(opened.source), name, to);
    examining_sink sink(name, with, chosen, batch, total, to);
    if (chosen.threads > 1) {
        relay to_other_thread(sink);
        counting_sink counts(to_other_thread, batch, charted);
        counting_sink counts_there(sink, batch, charted);  // one of the two, as the file's form is
        two_halves halves(counts_there);
        of_file.outcome = read::read_reports(source, name, chosen.delimited, counts, &halves);
        to_other_thread.finish();
    } else {
        counting_sink counts(sink, batch, charted);
        of_file.outcome = read::read_reports(source, name, chosen.delimited, counts);
    }
    sink.finish();
    add_rows(total, of_file.outcome);
    total.interrupted = total.interrupted || source.stopped();
    total.files.push_back(std::move(of_file));
}

}  // namespace

bool account::any_file_failed() const {
    return std::ranges::any_of(files,
                               [](const file_account& f) { return f.outcome.error.has_value(); });
}

account audit_files(std::span<const std::string> files, const options& chosen, observer& to) {
    account total;
    examiner with(chosen.in_force);
    whole_batch batch(chosen.in_force);
    tally charted;  // apart, since another thread counts what is asked
    for (const std::string& path : files) {
        if (total.interrupted) {
            break;
        }
        audit_file(path, chosen, with, batch, charted, total, to);
    }
    charted.add(total.counts);
    total.counts = std::move(charted);
    batch.finish(total, to);
    return total;
}

}  // namespace vitalproof::audit
