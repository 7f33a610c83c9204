#include "column_bench.hpp"

#include "branches.hpp"
#include "invented.hpp"
#include "measure.hpp"
#include "touch.hpp"

#include <bit>
#include <cstdio>
#include <limits>
#include <numeric>
#include <stdexcept>
#include <string>

namespace bench {

namespace {

using namespace vitalproof;

constexpr std::size_t rows = 2'000'000;
constexpr std::uint64_t seed = 20260301;
constexpr double goal = 60;  // million rows a second

struct measured {
    double missing;
    sign_columns values{};
    std::vector<took> by_columns{};
    std::vector<took> by_branches{};
    std::vector<took> by_touching{};
};

sign_columns invent_columns(double missing) {
    sign_columns columns;
    for (auto& column : columns) {
        column.resize(rows);
    }
    invented_reports reports(seed);
    random_source gaps(seed + 1);
    for (std::size_t row = 0; row < rows; ++row) {
        const invented_set& set = reports.next();
        for (std::size_t sign = 0; sign < sign_count; ++sign) {
            columns[sign][row] =
                gaps.chance(missing) ? std::numeric_limits<double>::quiet_NaN() : set.values[sign];
        }
    }
    return columns;
}

vital_columns view_of(const sign_columns& columns) {
    vital_columns view(columns.front().size());
    for_each_sign(all_signs{}, [&]<VitalSign S>(S) {
        view.add<S>(columns[index_of(S::info.id)], typename S::unit{});
    });
    return view;
}

// Counts as a user would who only wants totals.
std::array<std::uint64_t, check_count> count_by_columns(const vital_columns& columns,
                                                        const limits& in_force) {
    std::array<std::uint64_t, check_count> fired{};
    examine_columns(columns, in_force, [&fired](const block_result& block) {
        for (std::size_t check = 0; check < check_count; ++check) {
            if (block.flags.any_fired[check]) {
                const std::size_t words = (block.rows + word_rows - 1) / word_rows;
                for (std::size_t w = 0; w < words; ++w) {
                    fired[check] +=
                        static_cast<std::uint64_t>(std::popcount(block.flags.fired[check][w]));
                }
            }
        }
    });
    return fired;
}

counts_by_check places_by_columns(const vital_columns& columns, const limits& in_force) {
    const flag_columns flags = flag_rows(columns, in_force);
    counts_by_check counts;
    for (std::size_t check = 0; check < check_count; ++check) {
        for (std::size_t row = 0; row < flags.rows; ++row) {
            if ((flags.fired[check][row / word_rows] >> (row % word_rows) & 1U) != 0) {
                counts.add(row, check);
            }
        }
    }
    return counts;
}

std::uint64_t total(const std::array<std::uint64_t, check_count>& fired) {
    return std::accumulate(fired.begin(), fired.end(), std::uint64_t{0});
}

// No time is printed for an answer that nobody else gives.
void require_same_answers(const sign_columns& values, const limits& in_force) {
    const counts_by_check expected = count_with_branches(values, in_force);
    const vital_columns view = view_of(values);
    if (total(expected.fired) == 0 || places_by_columns(view, in_force) != expected ||
        count_by_columns(view, in_force) != expected.fired) {
        throw std::runtime_error("columns and branches disagree about the findings");
    }
}

void measure_once(measured& level, const limits& in_force) {
    const vital_columns view = view_of(level.values);
    std::uint64_t fired = 0;
    level.by_touching.push_back(time_of([&] { touch(level.values); }));
    level.by_columns.push_back(time_of([&] { fired += total(count_by_columns(view, in_force)); }));
    level.by_branches.push_back(
        time_of([&] { fired -= total(count_with_branches(level.values, in_force).fired); }));
    if (fired != 0) {
        throw std::runtime_error("columns and branches disagree about the findings");
    }
}

void print_speed(double missing, const char* name, const std::vector<took>& times) {
    const took speed = rate(static_cast<double>(rows) / 1e6, times);
    std::printf("  %2.0f %% missing, %-21s%8.1f%12.1f\n", missing * 100, name, speed.elapsed,
                speed.processor);
}

}  // namespace

void run_column_bench() {
    const limits in_force;
    std::array<measured, 3> levels{{{0.0}, {0.1}, {0.6}}};
    for (measured& level : levels) {
        level.values = invent_columns(level.missing);
        require_same_answers(level.values, in_force);
    }
    for (std::size_t round = 0; round < rounds; ++round) {
        for (measured& level : levels) {
            measure_once(level, in_force);
        }
    }
    std::printf("\nColumns: %zu rows of %zu signs as float64, %zu checks, findings counted\n", rows,
                sign_count, check_count);
    std::printf("  %-36s elapsed   processor\n", "million rows/s");
    for (const measured& level : levels) {
        print_speed(level.missing, "by columns", level.by_columns);
        print_speed(level.missing, "branches, row by row", level.by_branches);
        print_speed(level.missing, "values read, no check", level.by_touching);
    }
    std::printf("  %-36s%8.0f\n", "goal, by columns", goal);
}

}  // namespace bench
