// Findings as a table for a spreadsheet and as JSON lines for programs.
// Used by the program and the bindings. Promises one row a finding in both, the same fingerprint
// in both, and nothing about the patient beyond the charted values a finding speaks of.
#pragma once

#include "write/csv.hpp"
#include "write/evidence.hpp"
#include "write/output.hpp"
#include "write/text_block.hpp"
#include "write/worded.hpp"
#include <vitalproof/batch_finding.hpp>

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace vitalproof::write {

/// A text written anew only when what it speaks of is another than before.
template <class Subject>
class remembered_text {
public:
    template <class Same, class Append>
    std::string_view of(const Same& subject, Append append) {
        if (!subject_ || *subject_ != subject) {
            subject_ = subject;
            text_.clear();
            append(text_, subject);
        }
        return text_.text();
    }

private:
    std::optional<Subject> subject_;
    text_block text_;
};

/// What is a check's alone in a row and in a line, written once.
struct check_parts {
    std::string cells;
    std::string members;
};
using parts_of_checks = std::array<check_parts, check_count>;

/// Findings as they will stand in both files, put together by one thread at a time.
class findings_text {
public:
    /// Keeps a reference.
    explicit findings_text(const parts_of_checks& checks) : checks_(checks) {}

    /// The set that the next findings are about, read from `file`.
    void start_set(std::string_view file, const finding& any, const worded& in_words);
    /// Adds one of its findings.
    void add(const finding& f, const worded& in_words);

    std::string_view rows() const { return rows_.text(); }
    std::string_view lines() const { return lines_.text(); }
    void clear();

private:
    void start_report(const finding& any);
    void add_row(const finding& f, const worded& in_words);
    void add_line(const finding& f, const worded& in_words);

    const parts_of_checks& checks_;
    evidence_writer evidence_;
    text_block rows_;
    text_block lines_;

    // What the findings of a report share, written once a report.
    std::string report_;
    std::string crew_;
    text_block report_cells_;
    text_block report_members_;  ///< with the object's brace

    // What those of a set share.
    text_block cells_;                   ///< from the report to the time
    text_block opening_;                 ///< of the JSON object: the same
    text_block circumstances_;           ///< members: what was known, and the place in the file
    remembered_text<facts> known_;       // seldom changes within a report
    remembered_text<std::string> file_;  // and this within a file

    fingerprinter wholes_;
    remembered_text<const batch_finding*> part_of_;
};

class findings_writer {
public:
    /// Writes findings.csv and findings.jsonl into the folder; throws output_error.
    explicit findings_writer(const output_folder& folder, writing how = writing::at_once);

    /// A text to be filled, which this must outlive.
    findings_text new_text() const { return findings_text(checks_); }

    /// Adds a finding about a whole column; in the table its report, crew and set are empty.
    void add(const batch_finding& f);
    void add(const findings_text& of_sets);
    void close();

private:
    output_file table_;
    output_file lines_;
    parts_of_checks checks_{};
    fingerprinter wholes_;
};

}  // namespace vitalproof::write
