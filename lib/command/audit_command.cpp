#include "command/audit_command.hpp"

#include "audit/audit.hpp"
#include "command/command.hpp"
#include "command/terminal.hpp"
#include "command/writing_observer.hpp"
#include "write/account.hpp"
#include "write/names.hpp"
#include "write/page.hpp"
#include "write/summary.hpp"
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
