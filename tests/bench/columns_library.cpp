// The column benchmarks as a library with C's calls, so that Python holds the arrays and measures
// what is compared over the same memory in one process. Errors end the program: a benchmark that
// goes on after one has nothing to say.
#include "branches.hpp"
#include "invented.hpp"
#include "merely_read.hpp"
#include <vitalproof/catalogue.hpp>
#include <vitalproof/columns.hpp>

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <limits>
#include <map>
#include <memory>
#include <new>
#include <span>
#include <string>
#include <vector>

using namespace vitalproof;

namespace bench {

/// As Python gives it; columns, reports and seconds that are null are not there.
struct given_columns {
    std::array<const double*, sign_count> signs;
    const std::uint64_t* reports;
    const std::int64_t* seconds;
    std::size_t rows;
};

/// The flags of chosen checks as whole columns: those that fired, and which could be asked, once
/// for all checks that need the same signs.
struct kept_flags {
    struct release {
        void operator()(flag_word* words) const { std::free(words); }
    };
    // As the Python package allocates them: zero, and no memory before it is written.
    using words = std::unique_ptr<flag_word[], release>;
    static words make(std::size_t count) {
        words made(static_cast<flag_word*>(std::calloc(count, sizeof(flag_word))));
        if (made == nullptr) {
            throw std::bad_alloc();
        }
        return made;
    }

    std::vector<words> fired{};
    std::map<std::uint32_t, words> evaluated{};
};

}  // namespace bench

namespace {

using bench::given_columns;
using bench::kept_flags;

vital_columns view_of(const given_columns& given) {
    vital_columns view(given.rows);
    for_each_sign(all_signs{}, [&]<VitalSign S>(S) {
        const double* values = given.signs[index_of(S::info.id)];
        if (values != nullptr) {
            view.add<S>(std::span(values, given.rows), typename S::unit{});
        }
    });
    if (given.reports != nullptr) {
        view.add_reports({given.reports, given.rows});
    }
    if (given.seconds != nullptr) {
        view.add_times({given.seconds, given.rows});
    }
    return view;
}

limits limits_with(const std::uint8_t* on) {
    limits in_force;
    for (std::size_t check = 0; check < check_count; ++check) {
        in_force.turn(check, on[check] != 0);
    }
    return in_force;
}

void keep(const block_result& block, std::span<const std::size_t> checks, kept_flags& flags) {
    const std::size_t first = block.first_row / word_rows;
    const std::size_t used = (block.rows + word_rows - 1) / word_rows;
    const std::size_t left = block.rows % word_rows;
    const auto rows_of = [&](std::size_t word) {
        return word + 1 == used && left != 0 ? (flag_word{1} << left) - 1 : ~flag_word{0};
    };
    for (std::size_t at = 0; at < checks.size(); ++at) {
        for (std::size_t word = 0; word < used && block.flags.any_fired[checks[at]]; ++word) {
            flags.fired[at][first + word] = block.flags.fired[checks[at]][word] & rows_of(word);
        }
    }
    for (auto& [needs, bits] : flags.evaluated) {
        const block_bits evaluated = block.flags.evaluated(needs);
        for (std::size_t word = 0; word < used; ++word) {
            bits[first + word] = evaluated[word] & rows_of(word);
        }
    }
}

// How many rows of a block. Without the processor's own instruction std::popcount is a call a word,
// and a loop over the bits that are set ends where no processor expects it.
std::uint64_t count_of(const block_bits& rows) {
    constexpr std::uint64_t pairs = 0x5555555555555555U;
    constexpr std::uint64_t fours = 0x3333333333333333U;
    constexpr std::uint64_t bytes = 0x0F0F0F0F0F0F0F0FU;
    constexpr std::uint64_t sixteens = 0x00FF00FF00FF00FFU;
    std::array<std::uint64_t, sizeof rows / sizeof(std::uint64_t)> words;
    std::memcpy(words.data(), rows.data(), sizeof rows);
    std::uint64_t by_byte = 0;
    for (std::uint64_t bits : words) {
        bits -= bits >> 1 & pairs;
        bits = (bits & fours) + (bits >> 2 & fours);
        by_byte += (bits + (bits >> 4)) & bytes;
    }
    return ((by_byte & sixteens) + (by_byte >> 8 & sixteens)) * 0x0001000100010001U >> 48;
}

template <class... C>
constexpr std::array<bool, sizeof...(C)> look_around(check_list<C...>) {
    return {NeighbourCheck<C>...};
}

}  // namespace

extern "C" {

#define BENCH_CALL __attribute__((visibility("default")))

/// Realistic walks, report after report; signs that are not charted in a set are NaN.
BENCH_CALL void bench_invent(double* const* signs, std::uint64_t* reports, std::int64_t* seconds,
                             std::size_t rows, std::uint64_t seed) {
    bench::invented_reports source(seed);
    for (std::size_t row = 0; row < rows; ++row) {
        const bench::invented_set& set = source.next();
        for (const auto& sign : sign_table) {
            const std::size_t at = index_of(sign.id);
            signs[at][row] = bench::is_charted(set, sign.id)
                                 ? set.values[at]
                                 : std::numeric_limits<double>::quiet_NaN();
        }
        reports[row] = set.report;
        seconds[row] = std::int64_t{60} * set.minute;
    }
}

BENCH_CALL std::uint64_t bench_read(const std::uint64_t* words, std::size_t count) {
    return bench::merely_read(words, count);
}

BENCH_CALL std::size_t bench_check_count() { return check_count; }
BENCH_CALL const char* bench_check_code(std::size_t check) {
    static std::string code;  // what the table has need not end with a zero
    code = check_table[check].code;
    return code.c_str();
}
/// What a check looks at: `s`et, `n`eighbours, whole `r`eport.
BENCH_CALL char bench_check_looks_at(std::size_t check) {
    static constexpr auto around = look_around(catalogue{});
    return check_of_report[check] ? 'r' : around[check] ? 'n' : 's';
}

/// The catalogue over columns, with the checks that `on` says; counts what fired by check.
BENCH_CALL void bench_examine(const given_columns* given, const std::uint8_t* on,
                              std::uint64_t* fired) {
    const vital_columns view = view_of(*given);
    std::vector<std::size_t> asked;
    for (std::size_t check = 0; check < check_count; ++check) {
        if (on[check] != 0) {
            asked.push_back(check);
        }
    }
    examine_columns(view, limits_with(on), [&](const block_result& block) {
        for (const std::size_t check : asked) {
            if (block.flags.any_fired[check]) {
                fired[check] += count_of(block.flags.fired[check]);
            }
        }
    });
}

/// The same for checks of one set, row by row and with a branch for every question.
BENCH_CALL void bench_branches(const given_columns* given, const std::uint8_t* on,
                               std::uint64_t* fired) {
    const auto counts = bench::count_with_branches(given->signs, given->rows, limits_with(on));
    std::copy(counts.begin(), counts.end(), fired);
}

/// Flags of chosen checks, kept as whole columns; to be given back to bench_forget.
BENCH_CALL kept_flags* bench_flags(const given_columns* given, const std::size_t* checks,
                                   std::size_t count) {
    const std::span<const std::size_t> chosen(checks, count);
    const std::size_t words = (given->rows + word_rows - 1) / word_rows;
    auto flags = std::make_unique<kept_flags>();
    for (const std::size_t check : chosen) {
        flags->fired.push_back(kept_flags::make(words));
        kept_flags::words& evaluated = flags->evaluated[check_needs[check]];
        if (evaluated == nullptr) {
            evaluated = kept_flags::make(words);
        }
    }
    const vital_columns view = view_of(*given);
    examine_columns(view, {}, [&](const block_result& block) { keep(block, chosen, *flags); });
    return flags.release();
}
BENCH_CALL const flag_word* bench_fired(const kept_flags* flags, std::size_t at) {
    return flags->fired[at].get();
}
BENCH_CALL const flag_word* bench_evaluated(const kept_flags* flags, std::size_t check) {
    return flags->evaluated.at(check_needs[check]).get();
}
BENCH_CALL void bench_forget(kept_flags* flags) { delete flags; }  // NOLINT: as it was handed over
}
