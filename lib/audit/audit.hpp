// The audit of a batch: files in, findings and an account of every row out.
// Used by the program and by the bindings. Promises that a broken file or row never stops the
// rest, that memory does not grow with the input, and that every row read is accounted for.
#pragma once

#include "audit/column_findings.hpp"
#include "audit/observer.hpp"
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
    /// With two or more, one thread reads, and all of them examine and tell what they find. More
    /// than eight are not used.
    unsigned threads = 1;
};

/// Audits the files one after another.
account audit_files(std::span<const std::string> files, const options& chosen, observer& to);

}  // namespace vitalproof::audit
