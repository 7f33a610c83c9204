#include "written.hpp"

namespace bench {

namespace {

void append_header(std::string& text) {
    text += "report,crew,taken_at";
    for (const auto& sign : vitalproof::sign_table) {
        text.append(",").append(sign.name);
    }
    text += '\n';
}

void append_row(std::string& text, const invented_set& set) {
    text += "PCR-" + std::to_string(set.report) + ",M" + std::to_string(set.crew) + ',';
    append_time(text, set.minute);
    for (const auto& sign : vitalproof::sign_table) {
        text += ',';
        append_charted(text, set, sign.id);
    }
    text += '\n';
}

}  // namespace

written_account write_csv(std::FILE* into, std::uint64_t bytes, std::uint64_t seed) {
    written_account account;
    text_output output(into);
    append_header(output.text());
    invented_reports reports(seed);
    while (output.bytes() < bytes) {
        const invented_set& set = reports.next();
        append_row(output.text(), set);
        add_to(account, set);
        output.flush_when_full();
    }
    output.flush();
    account.bytes = output.bytes();
    return account;
}

}  // namespace bench
