// Elements of the national EMS data standard as the reader meets them.
// Used by the parts of the standard's reader. Promises that a prefix never counts, and that blanks
// and line ends around a value are none of it.
#pragma once

#include "read/text.hpp"

#include <pugixml.hpp>

#include <string>
#include <string_view>

namespace vitalproof::read::nemsis {

/// A name without its prefix.
inline std::string_view without_prefix(std::string_view name) {
    const std::size_t colon = name.find(':');
    return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

inline std::string_view local_name(const pugi::xml_node& node) {
    return without_prefix(node.name());
}

/// Without the blanks and line ends of XML at either end.
inline std::string_view stripped(std::string_view text) {
    const std::size_t first = text.find_first_not_of(" \t\r\n");
    return first == std::string_view::npos
               ? std::string_view{}
               : text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

/// What an element says: a value, or why there is none. Views into the document.
struct element {
    std::string_view text{};
    std::string_view not_value{};  ///< NV: not applicable, not recorded, not reporting
    std::string_view negative{};   ///< PN: refused, unable to complete and their like
    std::string_view unit_type{};  ///< ETCO2Type
};

/// The text of an element. One parted by a comment, CDATA or processing instruction is whole again;
/// an element within shows as `<>`, so that it is never taken for a value.
inline std::string_view text_of(pugi::xml_node node) {
    const pugi::xml_node first = node.first_child();
    if (!first.next_sibling()) {
        return first.type() == pugi::node_element ? "<>" : first.value();
    }
    std::string whole;
    for (const pugi::xml_node& part : node.children()) {
        whole += part.type() == pugi::node_element ? "<>" : part.value();
    }
    node.remove_children();
    node.append_child(pugi::node_pcdata).set_value(whole.c_str());  // kept by the document
    return node.child_value();
}

inline element element_of(const pugi::xml_node& node) {
    element e{.text = stripped(text_of(node))};
    for (auto attribute = node.first_attribute(); attribute;
         attribute = attribute.next_attribute()) {
        const std::string_view name = without_prefix(attribute.name());
        if (name == "NV") {
            e.not_value = stripped(attribute.value());
        } else if (name == "PN") {
            e.negative = stripped(attribute.value());
        } else if (name == "ETCO2Type") {
            e.unit_type = stripped(attribute.value());
        }
    }
    return e;
}

/// Calls `f(name, node)` for the elements of a section, those in its groups included.
template <class F>
void for_each_element(const pugi::xml_node& section, F&& f) {
    for (pugi::xml_node child = section.first_child(); child; child = child.next_sibling()) {
        if (const std::string_view name = local_name(child); name.ends_with("Group")) {
            for_each_element(child, f);
        } else if (!name.empty()) {
            f(name, child);
        }
    }
}

}  // namespace vitalproof::read::nemsis
