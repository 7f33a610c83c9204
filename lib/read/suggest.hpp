// "Did you mean": the known name nearest to one that was mistyped.
// Used by error messages. Promises to stay silent rather than suggest something far off.
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace vitalproof::read {

/// ` Did you mean "NAME"?` with the nearest known name, or nothing when none is near.
std::string suggestion(std::string_view mistyped, std::span<const std::string> known);

}  // namespace vitalproof::read
