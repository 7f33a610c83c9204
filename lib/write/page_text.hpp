// What the reviewer's page says of a report and of a finding, as JSON.
// Used by page_data. Promises of a report no more than its identifier, crew, times, vital signs,
// what decides whether they are true, and the usual band of its age.
#pragma once

#include "write/worded.hpp"
#include <vitalproof/care_report.hpp>
#include <vitalproof/finding.hpp>

#include <cstddef>
#include <string>
#include <string_view>

namespace vitalproof::write {

/// The members of a report's object, its crew and sets aside.
std::string page_head_of(const care_report& report, std::string_view file);

/// One of its sets, by its number from 1.
void append_page_set(std::string& out, const care_report& report, std::size_t set);

/// The elements of a finding's array, the place of its report aside.
void append_page_finding(std::string& out, const finding& f, const worded& in_words);

}  // namespace vitalproof::write
