#include "write/findings.hpp"

#include "write/json.hpp"
#include "write/names.hpp"
#include "write/perhaps.hpp"
#include <vitalproof/explain/words.hpp>

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
        .text("why", info.why)
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

findings_writer::findings_writer(const output_folder& folder, const limits& in_force)
    : words_(in_force),
      table_(folder.file(findings_csv_name)),
      lines_(folder.file(findings_jsonl_name)) {
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
    charted_ = message::charted(f);
    expected_ = message::expected(f);
    question_ = message::question(f);
    perhaps_.clear();
    const std::string_view fingerprint = prints_.print(f);
    row_.clear();
    row_.cell(f.report).cell("").cell(f.set == 0 ? "" : std::to_string(f.set)).cell("");
    row_.cells(cells_of(f.info(), subject_of(f)));
    finish_row(fingerprint);

    line_.clear();
    json_object object(line_);
    if (!f.report.empty()) {
        object.text("report", f.report).raw("set", std::to_string(f.set));
    }
    object.members(members_of(f.info(), subject_of(f)))
        .text("charted", charted_)
        .text("expected", expected_)
        .text("question", question_);
    append_counts(object.key("evidence"), f);
    append_batch_place(object.key("place"), f);
    object.text("fingerprint", fingerprint).close();
    line_.push_back('\n');
    lines_.append(line_);
}

void findings_writer::add(std::string_view file, std::span<const finding> of_set) {
    if (of_set.empty()) {
        return;
    }
    start_set(file, of_set.front());
    for (const finding& f : of_set) {
        put_into_words(f);
        const std::string_view fingerprint = prints_.print(f);
        add_row(f, fingerprint);
        add_line(f, fingerprint);
    }
}

void findings_writer::start_set(std::string_view file, const finding& any) {
    set_.taken_at.clear();
    message::append_time(set_.taken_at, any.taken_at);
    set_.name.clear();
    message::append_set_name(set_.name, any.set, set_.taken_at);

    const std::string number = std::to_string(any.set);
    set_.cells.clear();
    set_.cells.cell(any.report).cell(any.crew).cell(number).cell(set_.taken_at);

    set_.opening.clear();
    json_object line(set_.opening);
    line.text("report", any.report).text("crew", any.crew).raw("set", number);
    if (any.taken_at) {
        line.text("taken_at", set_.taken_at);
    }

    set_.circumstances.assign(known_.of(any.known, append_known));
    set_.circumstances.append(file_.of(file, append_place));
    set_.circumstances.append(std::to_string(any.line));
}

void findings_writer::put_into_words(const finding& f) {
    charted_.clear();
    words_.append_charted(charted_, f);
    expected_.clear();
    words_.append_expected(expected_, f);
    question_.assign(set_.name).append(": ");
    words_.append_question(question_, f);
    perhaps_.clear();
    message::append_explanations(perhaps_, f.perhaps);
}

void findings_writer::add_row(const finding& f, std::string_view fingerprint) {
    row_.clear();
    row_.cells(set_.cells.text()).cells(checks_[f.check].cells);
    finish_row(fingerprint);
}

void findings_writer::finish_row(std::string_view fingerprint) {
    row_.cell(charted_).cell(expected_).cell(question_).cell(fingerprint).cell(perhaps_);
    table_.append(row_.line());
}

void findings_writer::add_line(const finding& f, std::string_view fingerprint) {
    line_.assign(set_.opening);
    json_object object = json_object::continued(line_);
    object.members(checks_[f.check].members)
        .text("charted", charted_)
        .text("expected", expected_)
        .text("question", question_);
    evidence_.append(object.key("evidence"), f.evidence);
    line_.append(set_.circumstances);
    if (!f.place.empty()) {
        json_object::continued(line_).text("element", f.place);
    }
    line_.push_back('}');  // of the place
    object.text("fingerprint", fingerprint);
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
