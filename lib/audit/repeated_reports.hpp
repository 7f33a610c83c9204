// Looks for reports that hold the same sets, over a whole batch of any size.
// Used by the audit. Promises memory that does not grow with the batch, and findings in the order
// of the later reports, one each.
#pragma once

#include "audit/spool.hpp"
#include <vitalproof/batch_finding.hpp>
#include <vitalproof/care_report.hpp>

#include <array>
#include <compare>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace vitalproof::audit {

class repeated_reports {
public:
    /// Reports that are found beyond these are not listed.
    static constexpr std::size_t most_found = 10'000;

    /// Beyond so many sets of one report its pairs are not kept.
    static constexpr unsigned set_bits = 24;
    static constexpr std::size_t most_sets = std::size_t{1} << set_bits;

    /// Two sets that follow each other: a hash of their values, and the second of them.
    struct pair_of_sets {
        std::uint64_t values;
        std::uint32_t set;
        std::uint32_t report;  ///< by its place among those that were gathered
        std::uint8_t part;     ///< as the hash of its second set says
    };

    /// Puts what is to be known of a report behind `pairs`; its sets stand in the order of their
    /// times where all have one.
    static void gather(const care_report& report, std::uint32_t place,
                       std::vector<pair_of_sets>& pairs);
    /// Takes what was gathered of some reports.
    void add(std::span<const care_report> reports, std::span<const pair_of_sets> pairs);

    /// What is found; not whole where the spool could not be kept, which `failed` tells.
    std::vector<batch_finding> found();
    bool failed() const { return pairs_.failed() || told_.failed(); }

private:
    /// Of more matches, those of the first reports are kept, which are then all there.
    static constexpr std::size_t most_matches = 100'000;
    /// Pairs of a part that are held at once; of more, those whose values begin alike.
    static constexpr std::size_t most_held = 100'000;

    /// Where a set stands: in a report, which is named by its place in told_.
    class place {
    public:
        constexpr place() = default;
        constexpr place(std::uint64_t report, std::uint64_t set)
            : bits_(report << set_bits | set) {}

        constexpr std::uint64_t report() const { return bits_ >> set_bits; }
        constexpr std::uint64_t set() const { return bits_ % most_sets; }
        constexpr bool is_followed_by(place next) const {
            return next.report() == report() && next.set() == set() + 1;
        }

        friend constexpr auto operator<=>(place, place) = default;  // NOLINT: no pointer

    private:
        std::uint64_t bits_ = 0;
    };
    /// A pair of sets that follow each other: a hash of their values, beside what its part says of
    /// it, and where the first of the two stands.
    struct pair {
        std::uint64_t values;
        place at;
    };
    static constexpr std::size_t parts = spool<pair>::parts;
    static_assert(parts == 256);  // eight bits
    /// What is kept of a report that has such a pair, in front of its identifier. Looked at only
    /// where two have the same.
    struct told_report {
        std::uint64_t incident;  // hashes; zero where the source does not say
        std::uint64_t device;
        std::uint64_t id_size;
    };
    /// A pair that an earlier report has too.
    struct match {
        place later;
        place first;

        bool goes_on_in(const match& next) const {
            return later.is_followed_by(next.later) && first.is_followed_by(next.first);
        }

        friend auto operator<=>(const match&, const match&) = default;  // NOLINT: no pointer
    };

    std::uint64_t tell(const care_report& report);
    told_report told(std::uint64_t report);
    std::string id_of(std::uint64_t report, const told_report& of);
    void look_through(std::size_t part);
    void hold(std::size_t part, std::size_t turn, std::size_t turns);
    void look_through_held();
    void add_match(place first, place later);
    std::optional<batch_finding> in_words(const match& first_of_run);

    spool<pair> pairs_;
    std::array<std::size_t, parts> count_of_{};  // by part
    scratch_file told_;                          // each a told_report and its identifier
    std::vector<pair> held_;
    // The first pair of each value, a place among held_.
    std::vector<std::uint32_t> first_of_;
    std::vector<match> matches_;
    std::uint64_t beyond_ = ~std::uint64_t{0};  // from this report on matches are not kept
};

}  // namespace vitalproof::audit
