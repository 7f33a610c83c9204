#include "read/nemsis_parsed.hpp"

#include <cstddef>

namespace vitalproof::read::nemsis {

std::string parsed_report::parse(std::span<char> piece) {
    all_.clear();
    meanings_.clear();
    texts_.clear();
    joined_.clear();
    constexpr unsigned how = pugi::parse_cdata | pugi::parse_escapes | pugi::parse_eol;
    const auto parsed =
        document_.load_buffer_inplace(piece.data(), piece.size(), how, pugi::encoding_utf8);
    if (!parsed) {
        return parsed.description();
    }
    take(document_.first_child());
    return {};
}

// As deep as the splitter allows.
void parsed_report::take(const pugi::xml_node& parent) {
    for (const pugi::xml_node& node : parent.children()) {
        if (node.type() != pugi::node_element) {
            continue;
        }
        const std::size_t place = all_.size();
        tag_meaning& meaning = meanings_.emplace_back();
        meaning.take_name(node.name());
        for (const pugi::xml_attribute& attribute : node.attributes()) {
            meaning.take_attribute(attribute.name(), attribute.value());
        }
        meaning.settle();
        texts_.push_back(meaning.is_group ? std::string_view{} : text_of(node));
        all_.push_back({.tag = static_cast<std::uint32_t>(place)});
        take(node);
        all_[place].behind = static_cast<std::uint32_t>(all_.size());
    }
}

std::string_view parsed_report::text_of(const pugi::xml_node& node) {
    const auto text = [](const pugi::xml_node& part) {
        return part.type() == pugi::node_element ? "<>" : part.value();
    };
    const pugi::xml_node first = node.first_child();
    if (!first.next_sibling()) {
        return text(first);
    }
    std::string& whole = joined_.emplace_back();
    for (const pugi::xml_node& part : node.children()) {
        whole += text(part);
    }
    return whole;
}

}  // namespace vitalproof::read::nemsis
