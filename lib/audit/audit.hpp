// The audit of a batch: files in, findings and an account of every row out.
// Used by the program and by the bindings. Promises that a broken file or row never stops the
// rest, that memory does not grow with the input, and that every row read is accounted for.
#pragma once

#include "audit/column_findings.hpp"
#include "audit/tally.hpp"
#include "read/delimited.hpp"
#include <vitalproof/catalogue.hpp>
#include <vitalproof/finding.hpp>

#include <atomic>
#include <chrono>
#include <cstdint>
#include <deque>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::audit {

/// Receives what an audit finds, in the order of files, reports, sets and the catalogue.
class observer {
public:
    virtual ~observer() = default;
    /// A finding about a column of a file, before those of its sets; or about a device or two
    /// reports, behind all others.
    virtual void found(const batch_finding& of_batch) = 0;
    /// The findings of one set, and the report it is of, in the order of its times.
    virtual void found(std::string_view file, std::span<const finding> of_set,
                       const care_report& of_report) = 0;
    virtual void unread(const read::unread_row& row) = 0;
    /// Called now and then while a file is read, by the thread that reads.
    virtual void progress(std::string_view /*file*/, std::uint64_t /*bytes*/) {}
};

struct file_account {
    std::string name;
    read::delimited_outcome outcome;
};

struct account {
    std::vector<file_account> files{};
    tally counts{};
    std::deque<batch_entry> batch{};  ///< what was found of whole columns, devices, two reports
    bool repeated_not_told = false;   ///< no room to hold reports against each other
    std::uint64_t rows_read = 0;      ///< examined + unread + other
    std::uint64_t rows_examined = 0;
    std::uint64_t rows_unread = 0;
    std::uint64_t rows_other = 0;
    bool interrupted = false;

    /// Whether an input was missing, not understood or broken off.
    bool any_file_failed() const;
};

struct options {
    limits in_force{};
    read::delimited_options delimited{};
    std::optional<std::chrono::sys_seconds> as_of{};  ///< what lies later is in the future
    const std::atomic<bool>* stop = nullptr;  ///< set from outside to end early, with an account
    /// With two or more, one thread reads while another examines and tells what it found.
    unsigned threads = 1;
};

/// Audits the files one after another.
account audit_files(std::span<const std::string> files, const options& chosen, observer& to);

}  // namespace vitalproof::audit
