#include "command/audit_command.hpp"

#include "audit/audit.hpp"
#include "command/command.hpp"
#include "command/terminal.hpp"
#include "write/account.hpp"
#include "write/findings.hpp"
#include "write/first_questions.hpp"
#include "write/names.hpp"
#include "write/output.hpp"
#include "write/page.hpp"
#include "write/summary.hpp"
#include "write/unread.hpp"
#include <vitalproof/message.hpp>

#include <fmt/format.h>

#include <chrono>
#include <cstdio>

namespace vitalproof::command {

namespace {

constexpr std::string_view cautions =
    "A review aid, not a medical device: it asks, people answer. Thresholds are defaults for your\n"
    "medical direction to set; local protocols and licensed practice prevail. No chart is "
    "changed.\n";

/// Shows how far a long read is, on a terminal alone and a few times a second.
class progress_line {
public:
    explicit progress_line(bool shown) : shown_(shown) {}

    void show(std::string_view file, std::uint64_t bytes) {
        const auto now = std::chrono::steady_clock::now();
        if (!shown_ || now - last_ < std::chrono::milliseconds(200)) {
            return;
        }
        last_ = now;
        print_error(fmt::format("\r\x1b[K{}: {} MB read", file, write::grouped(bytes / 1'000'000)));
        drawn_ = true;
    }

    void clear() {
        if (drawn_) {
            print_error("\r\x1b[K");
        }
    }

private:
    bool shown_;
    bool drawn_ = false;
    // From the start, so that a short run shows nothing.
    std::chrono::steady_clock::time_point last_ = std::chrono::steady_clock::now();
};

class writing_observer final : public audit::observer {
public:
    writing_observer(const write::output_folder& folder, const limits& in_force, write::writing how,
                     bool show_progress)
        : words_(in_force),
          findings_(folder, how),
          unread_(folder),
          has_page_(write::has_page()),
          progress_(show_progress) {}

    void found(const batch_finding& of_column) override { findings_.add(of_column); }
    void found(std::string_view file, std::span<const finding> of_set,
               const care_report& of_report) override {
        words_.start_set(of_set.front());
        findings_.start_set(file, of_set.front(), words_);
        for (const finding& f : of_set) {
            words_.take(f);
            findings_.add(f, words_);
            if (has_page_) {
                page_.add(file, f, words_, of_report);
            }
        }
        first_.add(of_set);
    }
    void unread(const read::unread_row& row) override { unread_.add(row); }
    void progress(std::string_view file, std::uint64_t bytes) override {
        progress_.show(file, bytes);
    }

    void close() {
        progress_.clear();
        findings_.close();
        unread_.close();
    }

    const write::first_questions& first() const { return first_; }
    write::page_data& page() { return page_; }

private:
    write::worded words_;
    write::findings_writer findings_;
    write::unread_writer unread_;
    write::first_questions first_;
    write::page_data page_;
    bool has_page_;
    progress_line progress_;
};

std::string result_text(const audit_request& request, const audit::account& account,
                        const write::first_questions& first) {
    const message_writer words(request.in_force.values);
    std::string text;
    for (const auto& file : account.files) {
        const auto& columns = file.outcome.columns;
        if (!file.outcome.error &&
            (!columns.assumptions.empty() || columns.resources || !columns.columns.empty())) {
            text += write::assumptions_text(file.name, columns);
        }
    }
    text += text.empty() ? "" : "  (vitalproof columns FILE shows how every column is read)\n\n";
    text += write::summary_text(account, first, words, {is_terminal(stdout)});
    text += "\nWritten, readable by you alone:\n";
    for (const auto name : write::output_names) {
        if (name == write::page_name && !write::has_page()) {
            continue;
        }
        text += fmt::format("  {}/{}\n", request.into, name);
    }
    return text + "\n" + std::string(cautions);
}

bool reaches(const audit::tally& counts, std::optional<asks> level) {
    if (!level) {
        return false;
    }
    const std::uint64_t found = counts.all.reject + (*level <= asks::query ? counts.all.query : 0) +
                                (*level == asks::notice ? counts.all.notice : 0);
    return found != 0;
}

int status_of(const audit::account& account, const audit_request& request) {
    if (account.interrupted) {
        return interrupted;
    }
    if (account.any_file_failed()) {
        return input_failed;
    }
    return reaches(account.counts, request.fail_on) ? found : all_well;
}

}  // namespace

audit_result audit_into_folder(const audit_request& request, const std::atomic<bool>& stop) {
    write::output_folder folder(request.into);
    audit::options chosen;
    chosen.in_force = request.in_force.values;
    chosen.as_of = std::chrono::sys_seconds(std::chrono::seconds(seconds_of(request.as_of)));
    chosen.delimited = request.reading;
    chosen.stop = &stop;
    chosen.threads = request.threads;
    writing_observer observer(
        folder, chosen.in_force,
        request.threads > 1 ? write::writing::behind : write::writing::at_once,
        !request.quiet && is_terminal(stderr));
    const audit::account account = audit::audit_files(request.files, chosen, observer);
    observer.close();
    write::write_account(folder, account, request.in_force, request.reading,
                         message::time(request.as_of));
    if (write::has_page()) {
        write::write_page(folder, account, observer.page(), request.page);
    }
    folder.publish();

    audit_result result{status_of(account, request),
                        result_text(request, account, observer.first()),
                        write::troubles_text(account)};
    if (!result.troubles.empty()) {
        result.troubles.insert(0, "Could not be used as it stands:\n");
    }
    if (account.interrupted) {
        result.troubles += "Interrupted: what had been read was examined and written.\n";
    }
    return result;
}

int run_audit(const audit_request& request, const std::atomic<bool>& stop) {
    try {
        const audit_result result = audit_into_folder(request, stop);
        if (!result.troubles.empty()) {
            print_error(result.troubles);
        }
        if (!request.quiet) {
            print(result.summary);
        }
        return result.status;
    } catch (const write::folder_refused& e) {
        print_error(fmt::format("vitalproof: {}\n", e.what()));
        return wrong_usage;
    } catch (const write::output_error& e) {
        print_error(fmt::format("vitalproof: {}\n", e.what()));
        return output_failed;
    }
}

}  // namespace vitalproof::command
