#include "write/evidence.hpp"

#include "write/json.hpp"
#include <vitalproof/words.hpp>

#include <algorithm>
#include <cassert>
#include <string>

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
json_object begin_reading(text_block& out, const evidence_reading& r) {
    json_object object(out);
    object.text("sign", describe(r.sign).name).text("state", state_name(r));
    if (r.state == reading_state::absent) {
        object.text("reason", message::name_of(r.why_absent));
    }
    return object;
}

void append_worked_out(text_block& out, const evidence_number& n) {
    json_object object(out);
    object.text("worked_out", n.name).number("value", n.value).text("unit", n.unit).close();
}

/// Before every element of an array but the first.
void append_comma(text_block& out) {
    if (out.back() != '[') {
        out.push_back(',');
    }
}

}  // namespace

template <std::size_t Room>
void short_text<Room>::assign(std::string_view text) {
    assert(text.size() <= Room);
    std::ranges::copy(text, bytes_.begin());
    size_ = text.size();
}

evidence_writer::evidence_writer() {
    for (const sign_info& sign : sign_table) {
        around_value& around = numbers_[index_of(sign.id)];
        text_block before;
        begin_reading(before, {sign.id, reading_state::number, {}, 0, {}}).key("value");
        around.before.assign(before.text());
        text_block after;
        json_object::continued(after).text("unit", sign.unit);
        around.after.assign(after.text());
    }
}

void evidence_writer::append(text_block& out, const evidence& e) const {
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

void evidence_writer::append_reading(text_block& out, const evidence_reading& r) const {
    if (r.state == reading_state::number) {
        const around_value& around = numbers_[index_of(r.sign)];
        char* to = around.before.put(out.room(sizeof around + longest_json_number));
        out.end_at(around.after.put(put_json_number(to, r.value)));
    } else {
        begin_reading(out, r);
    }
    json_object object = json_object::continued(out);
    if (!r.charted.empty()) {
        object.text("charted", r.charted.display());
    }
    if (r.where != evidence_place::here) {
        object.integer("set", r.set);
    }
    object.close();
}

}  // namespace vitalproof::write
