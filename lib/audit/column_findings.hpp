// Findings about whole columns of a file, and which findings of its sets they explain.
// Used by the audit. Promises that only findings about the unit or size of a value which fits the
// other unit are explained: what fits neither, contradicts another reading or is dangerous stands
// for itself.
#pragma once

#include "read/columns.hpp"
#include "read/unit_columns.hpp"
#include <vitalproof/batch_finding.hpp>
#include <vitalproof/finding.hpp>

#include <array>
#include <cstdint>
#include <deque>
#include <span>
#include <string>
#include <vector>

namespace vitalproof::audit {

/// A finding of the batch, and how many findings of sets are part of it.
struct batch_entry {
    batch_finding about{};
    std::uint64_t parts = 0;
};

class column_findings {
public:
    /// Adds to `entries`, which must outlive this, what is found of the columns of `file`.
    column_findings(const std::string& file, const read::understanding& columns,
                    const limits& in_force, std::deque<batch_entry>& entries);

    /// What was added.
    std::span<batch_entry* const> found() const { return found_; }

    /// Whether some finding of a set is to be marked.
    bool concern(std::span<const finding> of_set) const;

    /// Marks findings as part of one of these, or as about a value in an assumed unit. For several
    /// threads at once.
    void mark(std::span<finding> of_set) const;

private:
    /// A column's sign in the unit it was read in.
    struct rule {
        read::charted_unit unit;
        bool unit_stated;
        read::other_unit other;
        batch_entry* whole;  ///< null where the column's numbers do not doubt its unit
    };

    void add(const read::column& c, batch_entry* whole);
    batch_entry* entry_for(const std::string& file, const read::column& c,
                           std::deque<batch_entry>& entries);
    const rule* rule_for(const finding& f) const;

    std::array<std::vector<rule>, sign_count> rules_{};
    std::vector<batch_entry*> found_;
};

}  // namespace vitalproof::audit
