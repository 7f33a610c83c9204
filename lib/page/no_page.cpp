#include "page/page_parts.hpp"

namespace vitalproof::page {

page_parts built_page() { return {}; }

}  // namespace vitalproof::page
