// Findings as a table for a spreadsheet and as JSON lines for programs.
// Used by the program and the bindings. Promises one row a finding in both, the same fingerprint
// in both, and nothing about the patient beyond the charted values a finding speaks of.
#pragma once

#include <vitalproof/message.hpp>

#include "write/csv.hpp"
#include "write/output.hpp"

#include <array>
#include <span>
#include <string>
#include <string_view>

namespace vitalproof::write {

class findings_writer {
public:
    /// Writes findings.csv and findings.jsonl into the folder; throws output_error.
    findings_writer(const output_folder& folder, const limits& in_force);

    void add(std::string_view file, std::span<const finding> of_set);
    void close();

private:
    void add_row(const finding& f, std::string_view fingerprint);
    void add_line(std::string_view file, const finding& f, std::string_view fingerprint);

    message_writer words_;
    std::array<std::string, check_count> row_middles_{};   ///< cells that are the check's alone
    std::array<std::string, check_count> line_middles_{};  ///< members that are the check's alone
    output_file table_;
    output_file lines_;
    csv_row row_;
    std::string line_;
    std::string expected_;
    std::string question_;
    std::string charted_;
    std::string taken_at_;
};

}  // namespace vitalproof::write
