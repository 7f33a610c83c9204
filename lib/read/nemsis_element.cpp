#include "read/nemsis_element.hpp"

#include "read/nemsis_codes.hpp"
#include "read/plain_tag.hpp"

namespace vitalproof::read::nemsis {

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

void tag_meaning::settle() { why = absence_of(not_value, negative); }

report_elements plain_report::elements_of(const xml_piece& piece) {
    if (generation_ != piece.tags->generation()) {
        generation_ = piece.tags->generation();
        meanings_.clear();
    }
    while (meanings_.size() < piece.tag_count) {
        const xml_tag& tag = (*piece.tags)[static_cast<std::uint32_t>(meanings_.size())];
        tag_meaning& meaning = meanings_.emplace_back();
        const plain_tag taken =
            take_apart(tag.text(), [&](std::string_view name, std::string_view value) {
                meaning.take_attribute(name, value);
            });
        meaning.take_name(taken.name);
        meaning.settle();
    }
    return {.all = piece.elements, .tags = meanings_, .piece = piece.text.data()};
}

}  // namespace vitalproof::read::nemsis
