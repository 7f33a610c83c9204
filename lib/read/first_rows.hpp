// The rows at the head of a source, looked at before any is handed over.
// Used where a choice needs a file's content, not its header alone. Promises whole rows only.
#pragma once

#include <string_view>

namespace vitalproof::read {

/// Bytes that were peeked at, without the row that they cut in two; all of them where the source
/// ends there.
constexpr std::string_view whole_rows(std::string_view bytes, bool to_the_end) {
    return to_the_end ? bytes : bytes.substr(0, bytes.find_last_of("\r\n") + 1);
}

}  // namespace vitalproof::read
