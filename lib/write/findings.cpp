#include "write/findings.hpp"

#include "write/json.hpp"
#include "write/names.hpp"
#include "write/perhaps.hpp"

#include <string>

namespace vitalproof::write {

namespace {

/// The member that says what was known of the set and bears on whether a value can be true.
void append_known(std::string& out, const facts& known) {
    std::string& list = json_object::continued(out).key("known");
    list.push_back('[');
    for (std::size_t i = 0; i < fact_count; ++i) {
        const auto f = static_cast<fact>(i);
        if (known.known(f)) {
            list.append(known.is(f) ? "\"" : "\"not ").append(fact_names[i]).append("\",");
        }
    }
    if (list.back() == ',') {
        list.pop_back();
    }
    list.push_back(']');
}

/// The member that says where the set stands, up to the number of its line.
void append_place(std::string& out, std::string_view file) {
    json_object(json_object::continued(out).key("place")).text("file", file).key("line");
}

template <class Info>
std::string cells_of(const Info& info, std::string_view subject) {
    csv_row row;
    row.cell(info.code)
        .cell(name_of(info.asks))
        .cell(std::to_string(static_cast<int>(info.priority)))
        .cell(name_of(info.kind))
        .cell(subject);
    return std::string(row.text());
}

template <class Info>
std::string members_of(const Info& info, std::string_view subject) {
    std::string members;
    json_object object(members);
    object.text("check", info.code)
        .text("asks", name_of(info.asks))
        .raw("priority", std::to_string(static_cast<int>(info.priority)))
        .text("kind", name_of(info.kind))
        .text("sign", subject)
        .text("source", info.source);
    return members.substr(1);
}

void append_counts(std::string& out, const batch_finding& f) {
    out.push_back('[');
    for (const batch_number& n : numbers_of(f)) {
        out.append(out.back() == '[' ? "" : ",");
        json_object(out)
            .text("worked_out", n.name)
            .raw("value", std::to_string(n.value))
            .text("unit", n.unit)
            .close();
    }
    out.push_back(']');
}

/// Where a finding of the batch stands: a column of a file, a device, another report.
void append_batch_place(std::string& out, const batch_finding& f) {
    json_object place(out);
    if (!f.file.empty()) {
        place.text("file", f.file);
    }
    if (!f.column.empty()) {
        place.text("column", f.column);
    }
    if (!f.device.empty()) {
        place.text("device", f.device);
    }
    if (!f.other_report.empty()) {
        place.text("other_report", f.other_report);
    }
    place.close();
}

}  // namespace

findings_writer::findings_writer(const output_folder& folder, writing how)
    : table_(folder.file(findings_csv_name), how), lines_(folder.file(findings_jsonl_name), how) {
    for (const auto name :
         {"report", "crew", "set", "taken_at", "check", "asks", "priority", "kind", "sign",
          "charted", "expected", "question", "fingerprint", "perhaps"}) {
        row_.cell(name);
    }
    table_.append(row_.line());
    for (std::size_t check = 0; check < check_count; ++check) {
        const check_info& info = check_table[check];
        checks_[check] = {cells_of(info, subject_of(info)), members_of(info, subject_of(info))};
    }
}

void findings_writer::add(const batch_finding& f) {
    const std::string charted = message::charted(f);
    const std::string expected = message::expected(f);
    const std::string question = message::question(f);
    const std::string_view fingerprint = wholes_.print(f);
    row_.clear();
    row_.cell(f.report).cell("").cell(f.set == 0 ? "" : std::to_string(f.set)).cell("");
    row_.cells(cells_of(f.info(), subject_of(f)));
    row_.cell(charted).cell(expected).cell(question).cell(fingerprint).cell("");
    table_.append(row_.line());

    line_.clear();
    json_object object(line_);
    if (!f.report.empty()) {
        object.text("report", f.report).raw("set", std::to_string(f.set));
    }
    object.members(members_of(f.info(), subject_of(f)))
        .text("charted", charted)
        .text("expected", expected)
        .text("question", question);
    append_counts(object.key("evidence"), f);
    append_batch_place(object.key("place"), f);
    object.text("fingerprint", fingerprint).close();
    line_.push_back('\n');
    lines_.append(line_);
}

void findings_writer::start_set(std::string_view file, const finding& any, const worded& in_words) {
    const std::string number = std::to_string(any.set);
    set_.cells.clear();
    set_.cells.cell(any.report).cell(any.crew).cell(number).cell(in_words.taken_at());

    set_.opening.clear();
    json_object line(set_.opening);
    line.text("report", any.report).text("crew", any.crew).raw("set", number);
    if (any.taken_at) {
        line.text("taken_at", in_words.taken_at());
    }

    set_.circumstances.assign(known_.of(any.known, append_known));
    set_.circumstances.append(file_.of(file, append_place));
    set_.circumstances.append(std::to_string(any.line));
}

void findings_writer::add(const finding& f, const worded& in_words) {
    add_row(f, in_words);
    add_line(f, in_words);
}

void findings_writer::add_row(const finding& f, const worded& in_words) {
    row_.clear();
    row_.cells(set_.cells.text()).cells(checks_[f.check].cells);
    row_.cell(in_words.charted()).cell(in_words.expected()).cell(in_words.question());
    row_.cell(in_words.fingerprint()).cell(in_words.perhaps());
    table_.append(row_.line());
}

void findings_writer::add_line(const finding& f, const worded& in_words) {
    line_.assign(set_.opening);
    json_object object = json_object::continued(line_);
    object.members(checks_[f.check].members)
        .text("charted", in_words.charted())
        .text("expected", in_words.expected())
        .text("question", in_words.question());
    evidence_.append(object.key("evidence"), f.evidence);
    line_.append(set_.circumstances);
    if (!f.place.empty()) {
        json_object::continued(line_).text("element", f.place);
    }
    line_.push_back('}');  // of the place
    object.text("fingerprint", in_words.fingerprint());
    if (f.part_of != nullptr) {
        object.text("part_of", part_of_.of(f.part_of, [this](std::string& to, auto* whole) {
            to = wholes_.print(*whole);
        }));
    }
    if (!f.perhaps.empty()) {
        append_perhaps(object.key("perhaps"), f.perhaps);
    }
    object.close();
    line_.push_back('\n');
    lines_.append(line_);
}

void findings_writer::close() {
    table_.close();
    lines_.close();
}

}  // namespace vitalproof::write
