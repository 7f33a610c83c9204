// A whole column whose numbers fit another unit than the one it states.
// Used by the reader, which counts before it hands on the first row, and by the audit. Promises to
// fire on nearly all of many numbers or not at all, so that a column which changes its unit half
// way is never called whole; values stay as stated either way.
#pragma once

#include <vitalproof/batch_check.hpp>

#include <cstdint>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {

struct unit_column {
    static constexpr batch_check_info info{
        .code = "unit.column",
        .title = "A whole column as if in another unit",
        .asks = asks::query,
        .priority = priority::high,
        .kind = kind::conformance,
        .question =
            "Column {column} states {stated}, but {fitting} of the first {looked_at} numbers in it "
            "fit {fits} instead. In which unit does the export write them?",
        .expected = "numbers in {stated}, or a header that states {fits}",
        .charted = "{stated} stated, {fitting} of {looked_at} numbers fit {fits}",
        .why =
            "One setting of the export explains what would else be asked of every crew. The "
            "findings it explains are kept and say which finding they are part of; those about "
            "values that fit neither unit stand for themselves.",
        .source =
            "Genes 2013 (°F logged as °C); 20 numbers and 90 % of them are common practice, "
            "no source",
        .heading = "To ask whoever makes the export",
    };

    static constexpr std::uint64_t fewest_numbers = 20;
    static constexpr std::uint64_t percent_needed = 90;

    /// Numbers looked at, and those among them that fit the other unit.
    struct counts {
        std::uint64_t numbers = 0;
        std::uint64_t fitting = 0;

        constexpr void add(bool fits) {
            ++numbers;
            fitting += fits ? 1U : 0U;
        }
        constexpr void merge(const counts& piece) {
            numbers += piece.numbers;
            fitting += piece.fitting;
        }
        friend bool operator==(const counts&, const counts&) = default;
    };

    static constexpr bool nearly_all(const counts& c) {
        return c.fitting * 100 >= c.numbers * percent_needed;
    }
    static constexpr bool fires(const counts& c) {
        return c.numbers >= fewest_numbers && nearly_all(c);
    }
    /// Whether it may yet fire when so many more are looked at: would it, if all of them fitted.
    static constexpr bool may_fire(const counts& c, std::uint64_t more) {
        return fires({c.numbers + more, c.fitting + more});
    }
};

}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
