// Whoever is told what an audit finds.
// Implemented by the program and by tests. Promises of the audit: findings in the order of files,
// reports, sets and the catalogue, whatever threads found them.
#pragma once

#include "read/delimited.hpp"
#include <vitalproof/batch_finding.hpp>
#include <vitalproof/care_report.hpp>
#include <vitalproof/finding.hpp>

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string_view>

namespace vitalproof::audit {

/// What an observer makes of the findings of some reports of a file. Several are made at once, each
/// by one thread at a time.
class findings_part {
public:
    virtual ~findings_part() = default;
    /// The findings of one set, and the report it is of, in the order of its times.
    virtual void found(std::string_view file, std::span<const finding> of_set,
                       const care_report& of_report) = 0;
    /// How much memory it takes to hold what was found: where it is much, it is taken early.
    virtual std::size_t bytes() const = 0;
};

class observer {
public:
    virtual ~observer() = default;

    /// A part, empty. Called while others are worked on.
    virtual std::unique_ptr<findings_part> new_part() const = 0;
    /// Takes what was put into a part and leaves it empty. Called in the order of reports, for one
    /// part at a time, by any thread.
    virtual void take(findings_part& filled) = 0;

    /// A finding about a column of a file, before those of its sets; or about a device or two
    /// reports, behind all others.
    virtual void found(const batch_finding& of_batch) = 0;
    /// In the order of rows, and of parts; by the thread that takes those.
    virtual void unread(const read::unread_row& row) = 0;
    /// Called now and then while a file is read, by the thread that reads.
    virtual void progress(std::string_view /*file*/, std::uint64_t /*bytes*/) {}
};

}  // namespace vitalproof::audit
