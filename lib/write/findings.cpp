#include "write/findings.hpp"

#include <vitalproof/fingerprint.hpp>

#include "write/json.hpp"
#include "write/names.hpp"

#include <fmt/format.h>

#include <cmath>
#include <utility>

namespace vitalproof::write {

namespace {

constexpr std::string_view state_name(const evidence_reading& r) {
    switch (r.state) {
        case reading_state::number: return "number";
        case reading_state::above: return "above";
        case reading_state::below: return "below";
        case reading_state::unreadable: return "unreadable";
        case reading_state::absent: break;
    }
    return "absent";
}

/// A number as JSON: as short as it can be read back, infinities and NaN as null.
std::string json_number(double value) {
    return std::isfinite(value) ? fmt::format("{}", value) : "null";
}

void append_reading(std::string& out, const evidence_reading& r) {
    json_object object(out);
    object.text("sign", describe(r.sign).name).text("state", state_name(r));
    if (r.state == reading_state::number) {
        object.raw("value", json_number(r.value)).text("unit", describe(r.sign).unit);
    }
    if (r.state == reading_state::absent) {
        object.text("reason", message::name_of(r.why_absent));
    }
    if (!r.charted.empty()) {
        object.text("charted", r.charted.display());
    }
    object.close();
}

void append_evidence(std::string& out, const evidence& e) {
    bool first = true;
    out.push_back('[');
    for (const evidence_reading& r : e.readings()) {
        out.append(std::exchange(first, false) ? "" : ",");
        append_reading(out, r);
    }
    for (const evidence_number& n : e.numbers()) {
        out.append(std::exchange(first, false) ? "" : ",");
        json_object object(out);
        object.text("worked_out", n.name).raw("value", json_number(n.value)).text("unit", n.unit);
        object.close();
    }
    out.push_back(']');
}

/// What was known of the set and bears on whether a value can be true.
void append_known(std::string& out, const facts& known) {
    bool first = true;
    out.push_back('[');
    for (std::size_t i = 0; i < fact_count; ++i) {
        const auto f = static_cast<fact>(i);
        if (known.known(f)) {
            out.append(std::exchange(first, false) ? "\"" : ",\"");
            out.append(known.is(f) ? "" : "not ").append(fact_names[i]).append("\"");
        }
    }
    out.push_back(']');
}

std::string row_middle(const check_info& info) {
    csv_row row;
    row.cell(info.code)
        .cell(name_of(info.asks))
        .cell(std::to_string(static_cast<int>(info.priority)))
        .cell(name_of(info.kind))
        .cell(describe(info.sign).name);
    return std::string(row.text());
}

std::string line_middle(const check_info& info) {
    std::string members;
    json_object object(members);
    object.text("check", info.code)
        .text("asks", name_of(info.asks))
        .raw("priority", std::to_string(static_cast<int>(info.priority)))
        .text("kind", name_of(info.kind))
        .text("sign", describe(info.sign).name)
        .text("why", info.why)
        .text("source", info.source);
    return members.substr(1);
}

}  // namespace

findings_writer::findings_writer(const output_folder& folder, const limits& in_force)
    : words_(in_force), table_(folder.file(findings_csv_name)),
      lines_(folder.file(findings_jsonl_name)) {
    for (const auto name : {"report", "crew", "set", "taken_at", "check", "asks", "priority",
                            "kind", "sign", "charted", "expected", "question", "fingerprint"}) {
        row_.cell(name);
    }
    table_.append(row_.line());
    for (std::size_t check = 0; check < check_count; ++check) {
        row_middles_[check] = row_middle(check_table[check]);
        line_middles_[check] = line_middle(check_table[check]);
    }
}

void findings_writer::add(std::string_view file, std::span<const finding> of_set) {
    for (const finding& f : of_set) {
        expected_ = words_.expected(f);
        question_ = words_.question(f);
        charted_ = words_.charted(f);
        taken_at_ = message::time(f.taken_at);
        const std::string mark = fingerprint(f);
        add_row(f, mark);
        add_line(file, f, mark);
    }
}

void findings_writer::add_row(const finding& f, std::string_view fingerprint) {
    row_.clear();
    row_.cell(f.report)
        .cell(f.crew)
        .cell(std::to_string(f.set))
        .cell(taken_at_)
        .cells(row_middles_[f.check])
        .cell(charted_)
        .cell(expected_)
        .cell(question_)
        .cell(fingerprint);
    table_.append(row_.line());
}

void findings_writer::add_line(std::string_view file, const finding& f,
                               std::string_view fingerprint) {
    line_.clear();
    json_object object(line_);
    object.text("report", f.report).text("crew", f.crew).raw("set", std::to_string(f.set));
    if (f.taken_at) {
        object.text("taken_at", taken_at_);
    }
    object.members(line_middles_[f.check])
        .text("charted", charted_)
        .text("expected", expected_)
        .text("question", question_);
    append_evidence(object.key("evidence"), f.evidence);
    append_known(object.key("known"), f.known);
    json_object where(object.key("place"));
    where.text("file", file).raw("line", std::to_string(f.line));
    where.close();
    object.text("fingerprint", fingerprint);
    object.close();
    line_.push_back('\n');
    lines_.append(line_);
}

void findings_writer::close() {
    table_.close();
    lines_.close();
}

}  // namespace vitalproof::write
