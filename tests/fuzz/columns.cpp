// Columns of any values, states, facts, ages, reports and times: the array path and the record
// path fire the same bits, and pieces of the rows fire what all of them do.
#include "../unit/random_sets.hpp"
#include "fuzz.hpp"

namespace {

using namespace fuzzing;

constexpr std::size_t most_rows = 600;  // beyond two blocks

testing::cell take_cell(bytes& from, std::size_t sign) {
    constexpr std::array<reading_state, 4> states{reading_state::absent, reading_state::above,
                                                  reading_state::below, reading_state::unreadable};
    const std::size_t kind = from.below(256);
    if (kind < 160) {
        testing::dice d(kind * sign_count + sign);
        return {reading_state::number, testing::usual_value(d, sign)};
    }
    if (kind < 200) {
        testing::dice d(kind * sign_count + sign);
        return {reading_state::number, testing::value_near_a_limit(d, sign)};
    }
    return kind < 230 ? testing::cell{states[kind % 4]}
                      : testing::cell{reading_state::number, from.take<double>()};
}

vital_set take_set(bytes& from, testing::rows& into) {
    vital_set set;
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        const std::size_t sign = index_of(S::info.id);
        if (into.carried[sign]) {
            const testing::cell c = take_cell(from, sign);
            set[s] = testing::reading_of<S>(c);
            into.values[sign].push_back(c.value);
            into.states[sign].push_back(c.state);
        }
    });
    if (from.below(4) == 0) {
        set.known.state(static_cast<fact>(from.below(fact_count)), from.below(2) == 0);
    }
    return set;
}

void take_report(bytes& from, testing::rows& into) {
    care_report report;
    report.id = std::to_string(into.reports.size());
    if (const double years = from.take<float>(); years >= -1 && years <= 200) {
        report.age = age_in_years(years);
    }
    std::int64_t now = 1'800'000'000;
    for (std::size_t sets = 1 + from.below(256); sets > 0 && into.size() < most_rows; --sets) {
        vital_set set = take_set(from, into);
        now += from.take<std::uint16_t>();
        if (from.below(16) != 0) {
            set.taken_at = set_time{std::chrono::local_seconds{std::chrono::seconds{now}}};
        }
        into.reports_of_rows.push_back(into.reports.size());
        into.seconds.push_back(set.taken_at ? now : row_place::no_time);
        into.known.push_back(set.known);
        into.ages.push_back(report.age ? report.age->count()
                                       : std::numeric_limits<double>::quiet_NaN());
        report.sets.push_back(set);
    }
    into.reports.push_back(std::move(report));
}

// The rows by blocks of their own, as several threads would take them.
void require_same_in_pieces(const vital_columns& columns, const flag_columns& whole) {
    for (std::size_t first = 0; first < columns.rows(); first += block_rows) {
        examine_rows(
            columns, first, std::min(first + block_rows, columns.rows()), {},
            [&](const block_result& block) {
                for (std::size_t check = 0; check < check_count; ++check) {
                    const std::size_t word = block.first_row / word_rows;
                    require((block.flags.fired[check][0] &
                             (block.rows < word_rows ? (1U << block.rows) - 1 : ~flag_word{0})) ==
                                whole.fired[check][word],
                            "a piece fires what the whole does");
                }
            });
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    bytes from(text_of(data, size));
    testing::rows rows;
    const auto carried = from.take<std::uint16_t>();
    for (std::size_t sign = 0; sign < sign_count; ++sign) {
        rows.carried[sign] = (carried >> sign & 1U) == 0;
    }
    while (!from.empty() && rows.size() < most_rows) {
        take_report(from, rows);
    }
    const vital_columns columns = testing::columns_of(rows);
    const flag_columns flags = flag_rows(columns);
    require(flags.fired == testing::fired_by_records(rows), "records and columns fire the same");
    for (std::size_t check = 0; check < check_count; ++check) {
        for (std::size_t w = 0; w < flags.fired[check].size(); ++w) {
            require((flags.fired[check][w] & ~flags.evaluated[check][w]) == 0,
                    "what fires was evaluated");
        }
    }
    require_same_in_pieces(columns, flags);
    return 0;
}
