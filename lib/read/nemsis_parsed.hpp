// The elements of a report that is not plain, by a parser.
// Used by the standard's file reader. Promises the same elements as of a plain report, and that no
// entity but XML's own five is expanded.
#pragma once

#include "read/nemsis_element.hpp"

#include <pugixml.hpp>

#include <deque>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::read::nemsis {

class parsed_report {
public:
    /// Parses a piece, which is changed. What is wrong with it; empty where nothing is.
    std::string parse(std::span<char> piece);

    /// Valid until the next piece is parsed.
    report_elements elements() const { return {.all = all_, .tags = meanings_, .texts = texts_}; }

private:
    void take(const pugi::xml_node& parent);
    std::string_view text_of(const pugi::xml_node& node);

    pugi::xml_document document_{};
    std::vector<xml_element> all_{};
    std::vector<tag_meaning> meanings_{};  // of each element
    std::vector<std::string_view> texts_{};
    std::deque<std::string> joined_{};  // texts that were parted
};

}  // namespace vitalproof::read::nemsis
