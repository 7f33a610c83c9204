#include "write/findings.hpp"

#include "write/json.hpp"
#include "write/names.hpp"
#include "write/perhaps.hpp"

#include <string>

namespace vitalproof::write {

namespace {

/// The member that says what was known of the set and bears on whether a value can be true.
void append_known(text_block& out, const facts& known) {
    text_block& list = json_object::continued(out).key("known");
    list.push_back('[');
    for (std::size_t i = 0; i < fact_count; ++i) {
        const auto f = static_cast<fact>(i);
        if (known.known(f)) {
            list.append(list.back() == '[' ? "" : ",");
            list.append(known.is(f) ? "\"" : "\"not ").append(fact_names[i]).append("\"");
        }
    }
    list.push_back(']');
}

/// The member that says where the set stands, up to the number of its line.
void append_place(text_block& out, std::string_view file) {
    json_object(json_object::continued(out).key("place")).text("file", file).key("line");
}

template <class Info>
void append_cells(csv_row& row, const Info& info, std::string_view subject) {
    row.cell(info.code)
        .cell(name_of(info.asks))
        .cell(std::to_string(static_cast<int>(info.priority)))
        .cell(name_of(info.kind))
        .cell(subject);
}

template <class Info>
void append_members(json_object& object, const Info& info, std::string_view subject) {
    object.text("check", info.code)
        .text("asks", name_of(info.asks))
        .integer("priority", static_cast<int>(info.priority))
        .text("kind", name_of(info.kind))
        .text("sign", subject)
        .text("source", info.source);
}

void append_counts(text_block& out, const batch_finding& f) {
    out.push_back('[');
    for (const batch_number& n : numbers_of(f)) {
        out.append(out.back() == '[' ? "" : ",");
        json_object(out)
            .text("worked_out", n.name)
            .integer("value", n.value)
            .text("unit", n.unit)
            .close();
    }
    out.push_back(']');
}

/// Where a finding of the batch stands: a column of a file, a device, another report.
void append_batch_place(text_block& out, const batch_finding& f) {
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
    csv_row titles(table_.text());
    for (const auto name :
         {"report", "crew", "set", "taken_at", "check", "asks", "priority", "kind", "sign",
          "charted", "expected", "question", "fingerprint", "perhaps"}) {
        titles.cell(name);
    }
    titles.end();
    for (std::size_t check = 0; check < check_count; ++check) {
        const check_info& info = check_table[check];
        text_block written;
        csv_row row(written);
        append_cells(row, info, subject_of(info));
        checks_[check].cells = written.text();
        written.clear();
        json_object members = json_object::members_only(written);
        append_members(members, info, subject_of(info));
        checks_[check].members = written.text();
    }
}

void findings_writer::add(const batch_finding& f) {
    const std::string charted = message::charted(f);
    const std::string expected = message::expected(f);
    const std::string question = message::question(f);
    const std::string_view fingerprint = wholes_.print(f);
    csv_row row(table_.text());
    row.cell(f.report).cell("").cell(f.set == 0 ? "" : std::to_string(f.set)).cell("");
    append_cells(row, f.info(), subject_of(f));
    row.cell(charted).cell(expected).cell(question).cell(fingerprint).cell("").end();
    table_.flush_full();

    json_object object(lines_.text());
    if (!f.report.empty()) {
        object.text("report", f.report).integer("set", f.set);
    }
    append_members(object, f.info(), subject_of(f));
    object.text("charted", charted).text("expected", expected).text("question", question);
    append_counts(object.key("evidence"), f);
    append_batch_place(object.key("place"), f);
    object.text("fingerprint", fingerprint).close();
    lines_.text().push_back('\n');
    lines_.flush_full();
}

void findings_text::start_set(std::string_view file, const finding& any, const worded& in_words) {
    if (report_ != any.report || crew_ != any.crew || report_cells_.empty()) {
        start_report(any);
    }
    cells_.clear();
    cells_.append(report_cells_.text());
    append_integer(cells_, any.set);
    cells_.push_back(',');
    append_cell(cells_, in_words.taken_at());
    cells_.push_back(',');

    opening_.clear();
    opening_.append(report_members_.text());
    json_object line = json_object::continued(opening_);
    line.integer("set", any.set);
    if (any.taken_at) {
        line.text("taken_at", in_words.taken_at());
    }
    opening_.push_back(',');

    circumstances_.clear();
    circumstances_.append(known_.of(any.known, append_known)).append(file_.of(file, append_place));
    append_integer(circumstances_, any.line);
}

void findings_text::start_report(const finding& any) {
    report_ = any.report;
    crew_ = any.crew;
    report_cells_.clear();
    csv_row(report_cells_).cell(report_).cell(crew_).cells("");
    report_members_.clear();
    json_object(report_members_).text("report", report_).text("crew", crew_);
}

void findings_text::add(const finding& f, const worded& in_words) {
    add_row(f, in_words);
    add_line(f, in_words);
}

void findings_text::add_row(const finding& f, const worded& in_words) {
    text_block& out = rows_;
    out.append(cells_.text());
    csv_row row = csv_row::continued(out.append(checks_[f.check].cells));
    row.cell(in_words.charted()).cell(in_words.expected()).cell(in_words.question());
    row.cell(in_words.fingerprint()).cell(in_words.perhaps()).end();
}

void findings_text::add_line(const finding& f, const worded& in_words) {
    text_block& out = lines_;
    out.append(opening_.text()).append(checks_[f.check].members);
    json_object object = json_object::continued(out);
    object.text("charted", in_words.charted())
        .text("expected", in_words.expected())
        .text("question", in_words.question());
    evidence_.append(object.key("evidence"), f.evidence);
    out.append(circumstances_.text());
    if (!f.place.empty()) {
        json_object::continued(out).text("element", f.place);
    }
    out.push_back('}');  // of the place
    object.text("fingerprint", in_words.fingerprint());
    if (f.part_of != nullptr) {
        object.text("part_of", part_of_.of(f.part_of, [this](text_block& to, auto* whole) {
            to.append(wholes_.print(*whole));
        }));
    }
    if (!f.perhaps.empty()) {
        append_perhaps(object.key("perhaps"), f.perhaps, in_words);
    }
    object.close();
    out.push_back('\n');
}

void findings_text::clear() {
    rows_.clear();
    lines_.clear();
}

void findings_writer::add(const findings_text& of_sets) {
    table_.append(of_sets.rows());
    lines_.append(of_sets.lines());
}

void findings_writer::close() {
    table_.close();
    lines_.close();
}

}  // namespace vitalproof::write
