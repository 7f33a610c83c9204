#include "write/perhaps.hpp"

#include "write/json.hpp"

#include <cmath>

namespace vitalproof::write {

namespace {

void append_meant(text_block& out, const explanation& e) {
    out.push_back('[');
    for (const meant_value& v : e.meant()) {
        out.append(out.back() == '[' ? "" : ",");
        const sign_info& sign = describe(v.sign);
        json_object(out)
            .text("sign", sign.name)
            .number("value", v.value)
            .text("unit", sign.unit)
            .close();
    }
    out.push_back(']');
}

}  // namespace

void append_perhaps(text_block& out, const explanations& all, const worded& in_words) {
    out.push_back('[');
    for (std::size_t i = 0; i < all.all().size(); ++i) {
        const explanation& e = all.all()[i];
        out.append(i == 0 ? "" : ",");
        json_object object(out);
        object.text("slip", name_of(e.what));
        if (!e.instance.empty()) {
            object.text("instance", e.instance);
        }
        append_meant(object.key("meant"), e);
        object.text("reason", in_words.reason(i))
            .text("strength", name_of(e.how))
            .number("probability", std::round(1000 * double{e.probability}) / 1000)
            .text("text", in_words.perhaps(i))
            .close();
    }
    out.push_back(']');
}

}  // namespace vitalproof::write
