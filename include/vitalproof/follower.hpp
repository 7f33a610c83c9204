// What is remembered of the rows of each report, from block to block, so that signs are followed
// through it.
// Used by both runners, which hand it to `follow` (run.hpp) before the kernel runs. Promises one
// rule for which readings are comparable.
#pragma once

#include <vitalproof/block.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>

namespace vitalproof::inline VITALPROOF_ABI {

/// Ways of taking a reading that give comparable values. Pressures heard, measured by a cuff or by
/// an unstated method are of one class, those felt, by Doppler or in an artery of others; so is a
/// pulse by oximeter beside all others.
inline constexpr std::size_t method_classes = 4;

/// The class of S under the facts of its row.
template <VitalSign S>
constexpr std::size_t method_class(lane_int yes) {
    const auto is = [yes](fact f) { return (yes & bit_of(f)) != 0; };
    if constexpr (S::info.id == sign_id::systolic || S::info.id == sign_id::diastolic ||
                  S::info.id == sign_id::mean_pressure) {
        return is(fact::palpated) ? 1 : is(fact::doppler) ? 2 : is(fact::arterial) ? 3 : 0;
    } else if constexpr (S::info.id == sign_id::pulse) {
        return is(fact::pulse_by_oximeter) ? 1 : 0;
    } else {
        return 0;
    }
}

/// A reading that is a number, and where it stands. A default one was never given.
struct followed_reading {
    static constexpr real nothing = std::numeric_limits<real>::quiet_NaN();

    real value = nothing;
    real before = nothing;  ///< the value of the reading before this one, of the same report
    std::uint64_t row = 0;  ///< among all rows, block after block
    row_place place{};
};

/// The last reading of each followed sign by its class, and room to work in. Plain data: what is
/// done with it is compiled for each processor level. Not for two threads at once.
struct follower {
    using by_class = std::array<followed_reading, method_classes>;

    /// The row of a block in which a row's neighbour stands, or one of these. What is known of rows
    /// is laid out by it, so that a neighbour is fetched without asking where it stands: which that
    /// is changes from row to row, and a processor guesses it badly.
    static constexpr std::size_t none = block_rows + word_rows;
    static constexpr std::size_t outside = none + 1;  ///< in another block

    /// Something known of each row and of `none` and `outside`, with a word of room on either side:
    /// whole words are moved by a row.
    template <class Known>
    struct by_source {
        alignas(64) std::array<Known, word_rows + outside + 1> room{};

        constexpr Known* rows() { return room.data() + word_rows; }
        constexpr const Known* rows() const { return room.data() + word_rows; }
        constexpr Known& operator[](std::size_t row) { return rows()[row]; }
        constexpr const Known& operator[](std::size_t row) const { return rows()[row]; }
    };

    std::array<by_class, followed_count> last{};
    std::uint64_t first_row = 0;  ///< of the block at hand, among all rows

    // Of the block at hand.
    std::array<flag_word, block_words + 1> goes_on{};  ///< with the report of the row before
    by_source<double> seconds{};
    by_source<real> minutes{};  ///< since the row before
    lane_int yes_in_any = 0;
    lane_int yes_in_all = 0;

    /// Odd rows, of which a neighbour does not stand in the row beside them.
    struct odd_rows {
        std::size_t count = 0;
        std::array<std::uint32_t, block_rows + 4> rows{};  // listed by four
        std::array<std::uint32_t, block_rows> sources{};   ///< the neighbour's row, none or outside
        std::array<double, block_rows> seconds{};          ///< between the two
        std::array<real, block_rows> minutes{};            ///< the same
    };

    // Of the rows that hold a number of the sign at hand, and of all signs charted in the same.
    bool are_sources_found = false;
    std::array<flag_word, block_words> numbers{};
    std::uint64_t row_before = 0;  ///< of the reading before, where that is in another block
    std::uint64_t row_after = 0;
    odd_rows before_of{};
    odd_rows after_of{};

    // Of the sign at hand.
    by_class coming{};  ///< the first readings behind the block of its last report
    by_source<real> values{};
    by_source<real> before{};
    std::array<real, 5 * block_rows> of_class{};
};

}  // namespace vitalproof::inline VITALPROOF_ABI
