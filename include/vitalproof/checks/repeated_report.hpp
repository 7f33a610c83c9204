// The same sets, one after the other, in two reports.
// Used by the audit, which holds every report against the others. Promises to look at pairs of sets
// alone, since single sets repeat by chance, and to pass over reports of one call or one monitor:
// two crews of one call, or two exports of one monitor, hold the same values.
#pragma once

#include <vitalproof/batch_check.hpp>

#include <cstddef>
#include <cstdint>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

struct repeated_report {
    static constexpr batch_check_info info{
        .code = "repeated.report",
        .title = "The same sets in two reports",
        .asks = asks::query,
        .priority = priority::normal,
        .kind = kind::plausibility,
        .question =
            "Sets {set} and {next} of this report hold the same values as sets {other_set} and "
            "{other_next} of report {other_report}. Do they belong to this patient?",
        .expected = "values of this patient",
        .charted = "the values of sets {other_set} and {other_next} of report {other_report}",
        .why =
            "Two sets in a row, each with four or more of systolic, diastolic, pulse, breathing "
            "rate and saturation, both pressures among them and none zero, are seldom the same in "
            "two patients. In a batch of more than 100,000 such pairs some are, so that three sets "
            "in a row are asked for, and of more than ten million four. Silent for sets sent by a "
            "monitor, and for reports of one call or one device.",
        .source = "common practice, no source",
        .heading = "The same sets in two reports",
        .about = "readings",
    };

    /// Pairs of sets, one after the other, that two reports share, and those of the whole batch.
    struct counts {
        std::uint64_t pairs = 0;
        std::uint64_t of_batch = 0;
        constexpr void merge(const counts& piece) {
            pairs += piece.pairs;
            of_batch += piece.of_batch;
        }
        friend bool operator==(const counts&, const counts&) = default;
    };

    static constexpr bool fires(const counts& c) { return c.pairs >= pairs_asked(c.of_batch); }

    /// In a batch of so many pairs, how many in a row two reports must share. Of
    /// 2.4 million pairs of invented reports 176 were the same as an earlier one by chance: among a
    /// hundred thousand that is less than one. A further set is the same by chance so seldom that
    /// a hundred times as many pairs are no more.
    static constexpr std::uint64_t pairs_asked(std::uint64_t of_batch) {
        std::uint64_t asked = 1;
        for (std::uint64_t allowed = 100'000; of_batch > allowed; allowed *= 100) {
            ++asked;
        }
        return asked;
    }

    /// Whether a set may be one of such a pair: five values in the order above, NaN where there is
    /// none.
    static constexpr bool is_telling(const double (&values)[5]) {
        const auto told = [&](std::size_t i) { return static_cast<int>(values[i] > 0); };
        return (told(0) & told(1)) != 0 && told(2) + told(3) + told(4) >= 2;
    }
};

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
