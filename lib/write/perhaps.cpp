#include "write/perhaps.hpp"

#include "write/json.hpp"
#include <vitalproof/explain/words.hpp>

#include <cmath>

namespace vitalproof::write {

namespace {

void append_meant(std::string& out, const explanation& e) {
    out.push_back('[');
    for (const meant_value& v : e.meant()) {
        out.append(out.back() == '[' ? "" : ",");
        const sign_info& sign = describe(v.sign);
        json_object object(out);
        append_json_number(object.text("sign", sign.name).key("value"), v.value);
        object.text("unit", sign.unit).close();
    }
    out.push_back(']');
}

void append_one(std::string& out, const explanation& e) {
    json_object object(out);
    object.text("slip", name_of(e.what));
    if (!e.instance.empty()) {
        object.text("instance", e.instance);
    }
    append_meant(object.key("meant"), e);
    std::string text;
    message::append_explanation(text, e);
    object.text("reason", message::reason(e)).text("strength", name_of(e.how)).key("probability");
    append_json_number(out, std::round(1000 * double{e.probability}) / 1000);
    object.text("text", text).close();
}

}  // namespace

void append_perhaps(std::string& out, const explanations& all) {
    out.push_back('[');
    for (const explanation& e : all.all()) {
        out.append(out.back() == '[' ? "" : ",");
        append_one(out, e);
    }
    out.push_back(']');
}

}  // namespace vitalproof::write
