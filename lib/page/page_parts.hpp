// The built page, around the place where an audit's data goes.
// Used by the writer of audit.html. Promises that both parts are empty in a program built without
// Node, which has no page.
#pragma once

#include <span>
#include <string_view>

namespace vitalproof::page {

/// In pieces, since a literal may be only so long.
struct page_parts {
    std::span<const std::string_view> before;
    std::span<const std::string_view> after;

    bool empty() const { return before.empty(); }
};

page_parts built_page();

}  // namespace vitalproof::page
