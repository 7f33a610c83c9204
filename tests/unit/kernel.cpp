// The kernel against the predicates themselves, row by row: what it passes over must not fire.
// Built twice, header-only and against the compiled library, whose vector code this then proves.
#include "random_sets.hpp"

#include <catch2/catch.hpp>

#include <array>
#include <memory>
#include <vector>

using namespace vitalproof;

namespace {

// A random row. Bit patterns that no reader makes are among them, such as a state that
// says number beside a value that is none: a predicate answers for those too.
void fill_row(lane_block& block, testing::dice& d, std::size_t row) {
    constexpr real infinity = std::numeric_limits<real>::infinity();
    constexpr auto followed = sign_table_of(followed_signs{});
    constexpr std::array<real, 5> odd{std::numeric_limits<real>::quiet_NaN(), infinity, -infinity,
                                      std::numeric_limits<real>::max(), -0.0F};
    for (std::size_t sign = 0; sign < sign_count; ++sign) {
        const std::size_t at = sign * lane_stride + row;
        const testing::cell c = testing::random_cell(d, sign);
        block.values[at] = d.one_in(6) ? d.any_of(odd) : to_real(c.value);
        block.states[at] =
            state_lane(d.one_in(6) ? static_cast<reading_state>(d.below(5)) : c.state,
                       static_cast<absence>(d.below(7)));
    }
    for (std::size_t lane = 0; lane < neighbour_lane_count; ++lane) {
        const sign_id sign = followed[lane % followed_count].id;
        const auto value = testing::random_cell(d, index_of(sign)).value;
        block.neighbour_lanes[lane * lane_stride + row] =
            d.one_in(6) ? d.any_of(odd) : to_real(value);
    }
    const facts known = testing::random_facts(d, 5);
    detail::put_context(block, row, known, age_limits_of(testing::random_age(d)));
}

// A block whose rows have no neighbours until they are given some.
std::unique_ptr<lane_block> make_block() {
    auto block = std::make_unique<lane_block>();
    block->neighbour_lanes.fill(std::numeric_limits<real>::quiet_NaN());
    block->followed = true;
    return block;
}

template <class C>
requires(!ReportCheck<C>) bool should_fire(const lane_block& block, std::size_t row,
                                           const limits& in_force) {
    for (std::size_t sign = 0; sign < sign_count; ++sign) {
        const bool needed = (C::needs::mask >> sign & 1U) != 0;
        if (needed && block.states[sign * lane_stride + row] != state_lane(reading_state::number)) {
            return false;
        }
    }
    return fires<C>(block.readings_of(row), block.neighbours_of(row),
                    block.context_of(row, in_force.signs), in_force.of<C>());
}

// Compares the whole block; returns how many rows fired.
std::size_t compare(const lane_block& block, const limits& in_force) {
    const auto flags = std::make_unique<block_flags>();
    run_catalogue(block, in_force, *flags);
    std::size_t fired_rows = 0;
    std::size_t check = 0;
    for_each_check(catalogue{}, [&]<class C>() {
        if constexpr (ReportCheck<C>) {
            CHECK(!flags->any_fired[check++]);
            return;
        } else {
            INFO(std::string_view(C::info.code));
            std::size_t differ = 0;
            bool any_fired = false;
            for (std::size_t row = 0; row < block.rows; ++row) {
                const bool fired =
                    (flags->fired[check][row / word_rows] >> (row % word_rows) & 1U) != 0;
                differ += fired != should_fire<C>(block, row, in_force) ? 1U : 0U;
                any_fired = any_fired || fired;
                fired_rows += fired ? 1U : 0U;
            }
            CHECK(differ == 0);
            CHECK((!any_fired || flags->any_fired[check]));
            ++check;
        }
    });
    return fired_rows;
}

}  // namespace

TEST_CASE("the kernel answers as the predicates do, whatever lies in the lanes") {
    const std::uint64_t seed = GENERATE(range(1U, 21U));
    testing::dice d(seed);
    const auto block = make_block();
    for (std::size_t row = 0; row < block_rows; ++row) {
        fill_row(*block, d, row);
    }
    block->rows = block_rows;
    CHECK(compare(*block, {}) > block_rows);
}

// Where a word is full of random rows, something always strays from every check's bounds. With one
// row alone the bounds are asked of that very row; with few, of values that lie around others.
TEST_CASE("a check's bounds hold in nothing that it fires on") {
    const std::size_t rows_in_word = GENERATE(1U, 2U, 3U, 5U);
    testing::dice d(40 + rows_in_word);
    const auto block = make_block();
    std::size_t fired = 0;
    for (int round = 0; round < 400; ++round) {
        for (std::size_t row = 0; row < block_rows; ++row) {
            if (row % word_rows < rows_in_word) {
                fill_row(*block, d, row);
            } else {
                put_row(*block, row, {}, {facts{}, no_age_limits()});
                for (std::size_t lane = 0; lane < neighbour_lane_count; ++lane) {
                    block->neighbour_lanes[lane * lane_stride + row] = no_neighbours()[lane];
                }
            }
        }
        block->rows = block_rows;
        fired += compare(*block, {});
    }
    CHECK(fired > 400 * block_words * rows_in_word);
}

// Of a block of one word, as of a report by itself, only the eights that hold a row are gone over.
// What lies behind them is not said: here it is of another report.
TEST_CASE("a block of few rows answers as one of many does") {
    const std::size_t rows = GENERATE(1U, 2U, 7U, 8U, 9U, 16U, 23U, 24U, 25U, 31U, 32U);
    testing::dice d(80 + rows);
    const auto block = make_block();
    std::size_t fired = 0;
    for (int round = 0; round < 100; ++round) {
        for (std::size_t row = 0; row < block_rows; ++row) {
            fill_row(*block, d, row);
        }
        block->rows = rows;
        pad_rows(*block);
        fired += compare(*block, {});
    }
    CHECK(fired > 100 * rows);
}

TEST_CASE("a single row of a kind among rows of nothing is not passed over") {
    const auto block = make_block();
    const std::size_t row = GENERATE(0U, 1U, 31U, 32U, 200U, 255U);
    const reading_state state =
        GENERATE(reading_state::above, reading_state::below, reading_state::unreadable);
    block->rows = 0;
    for (std::size_t i = 0; i < block_rows; ++i) {
        vital_set set;
        if (i == row) {
            set.pulse = state == reading_state::above   ? reading<sign::pulse>::above()
                        : state == reading_state::below ? reading<sign::pulse>::below()
                                                        : reading<sign::pulse>::unreadable();
        }
        put_row(*block, block->rows++, set, {facts{}, no_age_limits()});
    }
    CHECK(compare(*block, {}) == 1);
}

TEST_CASE("a block of nothing fires nothing") {
    const auto block = make_block();
    block->rows = 1;
    put_row(*block, 0, {}, {facts{}, no_age_limits()});
    pad_rows(*block);
    CHECK(compare(*block, {}) == 0);
}

// The kernel puts several sets at once; each must come out as it would by itself.
TEST_CASE("a reading lies in its lane as it is, whatever stands around it") {
    const auto block = make_block();
    const auto reading_at = [](std::size_t i) {
        const std::array<reading<sign::pulse>, 9> different{
            reading<sign::pulse>(value_of<sign::pulse>::from_value(72.5)),
            reading<sign::pulse>(value_of<sign::pulse>::from_value(1e300)),
            reading<sign::pulse>(value_of<sign::pulse>::from_value(-1e300)),
            reading<sign::pulse>::above(),
            reading<sign::pulse>::below(),
            reading<sign::pulse>::unreadable(),
            reading<sign::pulse>::absent(absence::refused),
            reading<sign::pulse>(value_of<sign::pulse>::from_value(0)),
            reading<sign::pulse>()};
        return different[i % different.size()];
    };
    constexpr std::size_t lane = index_of(sign_id::pulse) * lane_stride;
    for (std::size_t count = 1; count <= 20; ++count) {
        const std::size_t first = block_rows - count;
        std::vector<vital_set> sets(count);
        for (std::size_t i = 0; i < count; ++i) {
            sets[i].pulse = reading_at(i + count);
        }
        put_rows(*block, first, sets, {facts{}, no_age_limits()});
        for (std::size_t i = 0; i < count; ++i) {
            const reading<sign::pulse> expected = reading_at(i + count);
            const real value = is_beyond(expected.state()) ? lane_without_number(expected.state())
                                                           : to_real(expected.raw());
            const real put = block->values[lane + first + i];
            INFO(count << " sets, set " << i);
            CHECK((put == value || (put != put && value != value)));
            CHECK(block->states[lane + first + i] == lane_int{expected.code()});
        }
    }
}
