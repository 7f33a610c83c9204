// Care reports made of the pieces that the XML splitter finds, and an account of all of them.
// Used by the standard's file reader, one for each thread that makes reports. Promises that a
// broken report is named and costs no other, and that every group of vital signs is accounted for.
#pragma once

#include "read/delimited.hpp"
#include "read/nemsis_parsed.hpp"
#include "read/nemsis_report.hpp"
#include "read/xml_splitter.hpp"

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace vitalproof::read::nemsis {

/// What pieces came to. A row is a group of vital signs.
struct made_of_pieces {
    std::uint64_t reports_met = 0;
    std::uint64_t reports = 0;  ///< given to the sink
    std::uint64_t examined = 0;
    std::uint64_t unread = 0;
    std::uint64_t other = 0;
    tally_of_lines unreadable_times{};
    tally_of_lines unreadable_ages{};

    /// Of pieces behind all these.
    void add(const made_of_pieces& later);
};

class report_maker {
public:
    /// Views of what it is given must stay valid.
    report_maker(std::string_view file_name, const delimited_options& options,
                 const xml_bounds& bounds)
        : file_name_(file_name), options_(options), bounds_(bounds) {}

    /// Gives the sink a piece's report, or says why there is none.
    void take(const xml_piece& piece, sink& into, made_of_pieces& made);

private:
    bool take_plain(const xml_piece& piece);
    report_outcome read_one(const xml_piece& piece, const report_elements& elements,
                            group_lines& parted);
    void account_for(const xml_piece& piece, const report_outcome& read,
                     std::span<const std::uint64_t> astray);
    void refuse(const xml_piece& piece, std::string reason, std::string_view remedy);
    void refuse_groups(std::span<const std::uint64_t> lines, std::string_view reason,
                       std::string_view remedy);
    void refuse_fault(const xml_piece& piece);

    std::string_view file_name_;
    const delimited_options& options_;
    xml_bounds bounds_;
    plain_report plain_{};
    parsed_report parsed_{};
    care_report report_{};

    // While a piece is taken.
    sink* into_ = nullptr;
    made_of_pieces* made_ = nullptr;
};

}  // namespace vitalproof::read::nemsis
