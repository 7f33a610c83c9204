// Gathers the rows of one report that other reports' rows lie between.
// Used by read_delimited: exports sorted by time interleave the calls of several crews. Promises
// bounded memory, reports in the order of their first rows, and that two reports which cannot be
// one, or that lie too far apart to be gathered, are counted and never silently joined.
#pragma once

#include <vitalproof/care_report.hpp>

#include <cstddef>
#include <cstdint>
#include <deque>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace vitalproof::read {

/// Whether two runs of rows with one identifier may be of one report: crew, call and age agree
/// where both say them.
bool could_be_one(const care_report& a, const care_report& b);

/// Takes over what an earlier run of a report does not say. Sets are left to the caller.
void fill_gaps(care_report& earlier, const care_report& later);

/// Receives whole reports. The report's buffers are used again after the call.
class report_taker {
public:
    virtual ~report_taker() = default;
    virtual void take(care_report& report, std::uint64_t first_line) = 0;
    /// An identifier that an earlier report of this file had, which could not be joined.
    virtual void identifier_again(std::uint64_t line) = 0;
};

struct gathering_bounds {
    std::size_t reports = 128;  ///< held open at a time
    std::size_t sets = 65536;   ///< held open at a time
    std::size_t closed =
        65536;  ///< identifiers remembered, so that one that comes again is noticed
};

class report_gatherer {
public:
    /// `to` must outlive the gatherer.
    explicit report_gatherer(report_taker& to, const gathering_bounds& bounds = {});

    /// A run of rows with one identifier; its buffers are swapped out.
    void add(care_report& run, std::uint64_t first_line);

    /// Gives what is still open.
    void finish();

    /// Runs that were joined to an earlier one of their report.
    std::uint64_t joined() const { return joined_; }

private:
    struct open_report {
        care_report report{};
        std::uint64_t first_line = 0;
    };

    void join(open_report& earlier, care_report& run);
    void open(care_report& run, std::uint64_t first_line);
    void give_oldest();
    bool seen_before(std::string_view id) const;

    report_taker& to_;
    gathering_bounds bounds_;
    std::deque<open_report> open_;  // by first row
    std::vector<care_report> spare_;
    std::uint64_t given_ = 0;  // reports given: the place of the oldest open one
    std::unordered_map<std::string_view, std::uint64_t> place_of_;  // ids of open reports
    std::vector<std::size_t> closed_;  // hashes of identifiers, each where its low bits say
    std::size_t sets_ = 0;
    std::uint64_t joined_ = 0;
};

}  // namespace vitalproof::read
