// What the reviewer's page says of a report and of a finding, as JSON.
// Used by page_data. Promises of a report no more than its identifier, crew, times, vital signs,
// what decides whether they are true, and the usual band of its age.
#pragma once

#include "write/text_block.hpp"
#include "write/worded.hpp"
#include <vitalproof/care_report.hpp>
#include <vitalproof/finding.hpp>

#include <cstddef>
#include <string_view>

namespace vitalproof::write {

/// The members of a report's object, its crew and sets aside.
void append_page_head(text_block& out, const care_report& report, std::string_view file);

/// One of its sets, by its number from 1.
void append_page_set(text_block& out, const care_report& report, std::size_t set);

/// The elements of a finding's array, the place of its report aside.
void append_page_finding(text_block& out, const finding& f, const worded& in_words);

}  // namespace vitalproof::write
