// Cells beside the vital signs that could not be used: counted, and told to whoever reads.
// Used by read_delimited. Promises that a cell which several sets of one row share is told once.
#pragma once

#include "read/delimited.hpp"
#include "read/row_reader.hpp"

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

namespace vitalproof::read {

class counted_complaints final : public cell_complaints {
public:
    /// Both must outlive it.
    counted_complaints(delimited_outcome& outcome, sink& to) : outcome_(outcome), to_(to) {}

    /// Rows hold several sets from here on.
    void expect_groups() { grouped_ = true; }
    /// The sets of another row.
    void begin_row() { said_.clear(); }

    void time(std::uint64_t line, const column& where, std::string_view text,
              time_kind kind) override;
    void unplaced(std::uint64_t line, const column& where, std::string_view text) override;
    void elapsed(std::uint64_t line) override { outcome_.elapsed_times.add(line); }
    void context(std::uint64_t line, const column& where, std::string_view text) override;
    void age(std::uint64_t line, const column& where, std::string_view text);

private:
    bool was_said(const column& where);

    delimited_outcome& outcome_;
    sink& to_;
    bool grouped_ = false;
    std::vector<std::size_t> said_;  // columns complained of in a row of several sets
};

}  // namespace vitalproof::read
