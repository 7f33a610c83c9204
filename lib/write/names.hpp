// The names of the files an audit writes.
// Used by the writers and by the folder that may replace an earlier audit and nothing else.
// Promises one place to add a file.
#pragma once

#include <array>
#include <string_view>

namespace vitalproof::write {

inline constexpr std::string_view findings_csv_name = "findings.csv";
inline constexpr std::string_view findings_jsonl_name = "findings.jsonl";
inline constexpr std::string_view unread_name = "unread.csv";
inline constexpr std::string_view account_name = "audit.json";
inline constexpr std::string_view page_name = "audit.html";  // where the page was built in

inline constexpr std::array<std::string_view, 5> output_names{
    page_name, findings_csv_name, findings_jsonl_name, unread_name, account_name};

/// The schema of the files this version writes.
inline constexpr int output_schema = 1;

}  // namespace vitalproof::write
