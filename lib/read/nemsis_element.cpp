#include "read/nemsis_element.hpp"

#include "read/plain_tag.hpp"

#include <algorithm>

namespace vitalproof::read::nemsis {

namespace {

bool is_as_it_stands(std::string_view text) {
    return std::ranges::none_of(text, [](char c) { return c == '&' || c == '\r'; });
}

}  // namespace

void tag_meaning::take_name(std::string_view qualified) {
    name = without_prefix(qualified);
    id = id_of(name);
    is_group = name.ends_with("Group");
}

void tag_meaning::take_attribute(std::string_view qualified, std::string_view value) {
    const std::string_view attribute = without_prefix(qualified);
    if (attribute == "NV") {
        not_value = stripped(value);
    } else if (attribute == "PN") {
        negative = stripped(value);
    } else if (attribute == "ETCO2Type") {
        unit_type = stripped(value);
    }
}

std::string_view report_elements::text_of(std::uint32_t place) const {
    if (!texts.empty()) {
        return stripped(texts[place]);
    }
    const xml_element& e = all[place];
    const std::string_view text = stripped({piece + e.text_begin, e.text_end - e.text_begin});
    // What an element within leaves of the text is for the parser to say.
    if (e.behind != place + 1 || !is_as_it_stands(text)) {
        must_be_parsed = true;
    }
    return text;
}

report_elements plain_report::elements_of(const plain_elements& found,
                                          std::span<const char> piece) {
    const std::vector<xml_tag>& tags = found.tags().all();
    if (generation_ != found.tags().generation()) {
        generation_ = found.tags().generation();
        meanings_.clear();
    }
    while (meanings_.size() < tags.size()) {
        tag_meaning& meaning = meanings_.emplace_back();
        const plain_tag taken = take_apart(tags[meanings_.size() - 1].text(),
                                           [&](std::string_view name, std::string_view value) {
                                               meaning.take_attribute(name, value);
                                           });
        meaning.take_name(taken.name);
    }
    return {.all = found.all(), .tags = meanings_, .piece = piece.data()};
}

}  // namespace vitalproof::read::nemsis
