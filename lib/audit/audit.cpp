#include "audit/audit.hpp"

#include "audit/file_audit.hpp"
#include "read/report_file.hpp"

#include <algorithm>
#include <memory>
#include <utility>

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

void add_rows(account& total, const read::delimited_outcome& of_file) {
    total.rows_read += of_file.rows_read;
    total.rows_examined += of_file.rows_examined;
    total.rows_unread += of_file.rows_unread;
    total.rows_other += of_file.rows_other;
}

void audit_file(const std::string& path, const options& chosen, file_audit& with, account& total,
                observer& to) {
    const std::string name = read::shown_name(path);
    file_account of_file{name, {}};
    read::opened_file opened = read::open_file(path, chosen.stop);
    if (opened.source == nullptr) {
        of_file.outcome.error = {opened.error, opened.remedy};
        total.files.push_back(std::move(of_file));
        return;
    }
    watched_source source(std::move(opened.source), name, to);
    with.begin(name);
    read::half_runner* halves = chosen.threads > 1 ? &with : nullptr;
    of_file.outcome = read::read_reports(source, name, chosen.delimited, with, halves);
    with.finish();
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
    file_audit with(chosen, total, to);
    for (const std::string& path : files) {
        if (total.interrupted) {
            break;
        }
        audit_file(path, chosen, with, total, to);
    }
    with.finish_batch();
    return total;
}

}  // namespace vitalproof::audit
