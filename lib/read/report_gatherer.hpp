// Gathers the rows of one report that other reports' rows lie between.
// Used by read_delimited: exports sorted by time interleave the calls of several crews. Promises
// bounded memory, reports in the order of their first rows, and that two reports which cannot be
// one, or that lie too far apart to be gathered, are counted and never silently joined.
#pragma once

#include <vitalproof/care_report.hpp>

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string_view>
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
    std::size_t reports = 127;  ///< held open at a time, beside the run that is read
    std::size_t sets = 65536;   ///< held open at a time
    std::size_t closed =
        65536;  ///< identifiers remembered, so that one that comes again is noticed
};

class report_gatherer {
public:
    /// `to` must outlive the gatherer.
    explicit report_gatherer(report_taker& to, const gathering_bounds& bounds = {});

    /// Begins a run of rows with one identifier: a report that says no more yet. It is filled where
    /// it stays, and valid until it is added or another is begun, which gives it up.
    care_report& begin_run(std::string_view id);

    /// Adds the run.
    void add(std::uint64_t first_line);

    /// Gives what is still open.
    void finish();

    /// Runs that were joined to an earlier one of their report.
    std::uint64_t joined() const { return joined_; }

private:
    static constexpr std::uint64_t nowhere = ~std::uint64_t{0};

    struct open_report {
        care_report report{};
        std::uint64_t first_line = 0;
        std::size_t hash = 0;           // of its identifier
        std::uint64_t older = nowhere;  // the place of the next in its chain
    };

    open_report& at(std::uint64_t place) { return ring_[place & (ring_.size() - 1)]; }
    std::uint64_t& chain_of(std::size_t hash) { return chains_[hash & (chains_.size() - 1)]; }
    std::size_t& closed_at(std::size_t hash) { return closed_[hash % closed_.size()]; }
    std::size_t open_count() const { return static_cast<std::size_t>(next_ - given_); }

    static std::size_t hash_of(std::string_view id) { return std::hash<std::string_view>{}(id); }
    std::uint64_t find(std::string_view id, std::size_t hash);
    void join(open_report& earlier, care_report& run);
    void open(std::uint64_t first_line);
    void give_oldest();
    void grow();

    report_taker& to_;
    gathering_bounds bounds_;
    // Open reports by first row, each in the place of its number, and behind them the run. A place
    // taken again lends its buffers to the next run. Of two with one identifier the younger is
    // found.
    std::vector<open_report> ring_;
    std::vector<std::uint64_t> chains_;  // the youngest of those with one remainder of their hash
    std::uint64_t given_ = 0;            // reports given: the place of the oldest open one
    std::uint64_t next_ = 0;
    std::vector<std::size_t> closed_;  // hashes of identifiers, each where its low bits say
    std::size_t sets_ = 0;
    std::uint64_t joined_ = 0;
};

}  // namespace vitalproof::read
