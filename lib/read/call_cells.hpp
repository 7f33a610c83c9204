// What cells of a table tell of the call: its ending, its complaint, its times.
// Used by the reader of delimited text and by the bindings. Promises that the first word on a
// matter stands, and says whether a cell could be used.
#pragma once

#include "read/time_zone.hpp"
#include "read/timestamp.hpp"
#include <vitalproof/care_report.hpp>

#include <optional>
#include <string_view>

namespace vitalproof::read {

/// Why the call was made; never kept as a text.
void take_complaint(care_report& report, std::string_view text);

/// How it ended. False where the text is none of the words for it.
bool take_disposition(care_report& report, std::string_view text);

/// A moment of it, in the given zone where it has no offset. False where the time is no date with
/// a time of day.
bool take_call_time(care_report& report, call_time which, timestamp at,
                    std::optional<time_zone>& zone);

}  // namespace vitalproof::read
