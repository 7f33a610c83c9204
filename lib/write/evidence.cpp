#include "write/evidence.hpp"

#include "write/json.hpp"
#include <vitalproof/words.hpp>

#include <string>
#include <string_view>

namespace vitalproof::write {

namespace {

constexpr std::string_view state_name(const evidence_reading& r) {
    switch (r.state) {
        case reading_state::number:
            return "number";
        case reading_state::above:
            return "above";
        case reading_state::below:
            return "below";
        case reading_state::unreadable:
            return "unreadable";
        case reading_state::absent:
            break;
    }
    return "absent";
}

/// Begins the object of a reading, whatever its state.
json_object begin_reading(std::string& out, const evidence_reading& r) {
    json_object object(out);
    object.text("sign", describe(r.sign).name).text("state", state_name(r));
    if (r.state == reading_state::absent) {
        object.text("reason", message::name_of(r.why_absent));
    }
    return object;
}

void append_worked_out(std::string& out, const evidence_number& n) {
    json_object object(out);
    append_json_number(object.text("worked_out", n.name).key("value"), n.value);
    object.text("unit", n.unit).close();
}

/// Before every element of an array but the first.
void append_comma(std::string& out) {
    if (out.back() != '[') {
        out.push_back(',');
    }
}

}  // namespace

evidence_writer::evidence_writer() {
    for (const sign_info& sign : sign_table) {
        around_value& around = numbers_[index_of(sign.id)];
        begin_reading(around.before, {sign.id, reading_state::number, {}, 0, {}}).key("value");
        json_object::continued(around.after).text("unit", sign.unit);
    }
}

void evidence_writer::append(std::string& out, const evidence& e) const {
    out.push_back('[');
    for (const evidence_reading& r : e.readings()) {
        append_comma(out);
        append_reading(out, r);
    }
    for (const evidence_number& n : e.numbers()) {
        append_comma(out);
        append_worked_out(out, n);
    }
    for (const evidence_time& t : e.times()) {
        append_comma(out);
        json_object object(out);
        std::string at;
        message::append_time(at, t.at);
        object.text("moment", t.name).text("at", at).close();
    }
    out.push_back(']');
}

void evidence_writer::append_reading(std::string& out, const evidence_reading& r) const {
    if (r.state == reading_state::number) {
        const around_value& around = numbers_[index_of(r.sign)];
        append_json_number(out.append(around.before), r.value);
        out.append(around.after);
    } else {
        begin_reading(out, r);
    }
    json_object object = json_object::continued(out);
    if (!r.charted.empty()) {
        object.text("charted", r.charted.display());
    }
    if (r.where != evidence_place::here) {
        object.raw("set", std::to_string(r.set));
    }
    object.close();
}

}  // namespace vitalproof::write
