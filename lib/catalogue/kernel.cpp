// The kernel compiled for each processor level, and the choice between them.
// Every header stands above the first target pragma: vector code must stay inside the unnamed
// namespaces below, or an inline function that every processor runs might be taken from here.
#include "catalogue/processor_level.hpp"
#include <vitalproof/run.hpp>

namespace vitalproof::inline VITALPROOF_ABI {

namespace {
namespace baseline {
#include <vitalproof/detail/kernel.inc>
}  // namespace baseline
}  // namespace

#if defined(__x86_64__)
#define VITALPROOF_BITS_OF_EIGHT(lanes) __builtin_ia32_movmskps256(lanes)

#if defined(__clang__)
#pragma clang attribute push(__attribute__((target("avx2,bmi2"))), apply_to = function)
#else
#pragma GCC push_options
#pragma GCC target("avx2,bmi2")
#endif
namespace {
namespace avx2 {
#include <vitalproof/detail/kernel.inc>
}  // namespace avx2
}  // namespace
#if defined(__clang__)
#pragma clang attribute pop
#else
#pragma GCC pop_options
#endif

#if defined(__clang__)
#pragma clang attribute push(__attribute__((target("avx512f,avx512bw,avx512dq,avx512vl,bmi2"))), \
                             apply_to = function)
#else
#pragma GCC push_options
#pragma GCC target("avx512f,avx512bw,avx512dq,avx512vl,bmi2,prefer-vector-width=512")
#endif
namespace {
namespace avx512 {
#include <vitalproof/detail/kernel.inc>
}  // namespace avx512
}  // namespace
#if defined(__clang__)
#pragma clang attribute pop
#else
#pragma GCC pop_options
#endif

#undef VITALPROOF_BITS_OF_EIGHT
#endif

namespace {

struct kernel {
    void (*run)(const lane_block&, const limits&, block_flags&);
    bool (*gather)(const double*, std::size_t, const column_lanes&);
    void (*follow)(lane_block&, const lane_block*, follower&);
    void (*put)(lane_block&, std::size_t, std::span<const vital_set>);
    void (*pad)(lane_block&);
};

#define VITALPROOF_KERNEL_OF(level)                                                   \
    kernel {                                                                          \
        [](const lane_block& block, const limits& in_force, block_flags& flags) {     \
            level::run_checks(catalogue{}, block, in_force, flags);                   \
        },                                                                            \
            &level::gather_lanes,                                                     \
            [](lane_block& block, const lane_block* next, follower& followed) {       \
                level::follow_signs(level::signs_to_follow{}, block, next, followed); \
            },                                                                        \
            [](lane_block& block, std::size_t row, std::span<const vital_set> s) {    \
                level::put_signs(all_signs{}, block, row, s.data(), s.size());        \
            },                                                                        \
            &level::pad_lanes                                                         \
    }

kernel choose_kernel() {
#if defined(__x86_64__)
    __builtin_cpu_init();
    if (is_level_wanted("avx512") && __builtin_cpu_supports("avx512f") &&
        __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512dq") &&
        __builtin_cpu_supports("avx512vl") && __builtin_cpu_supports("bmi2")) {
        return VITALPROOF_KERNEL_OF(avx512);
    }
    if (is_level_wanted("avx2") && __builtin_cpu_supports("avx2") &&
        __builtin_cpu_supports("bmi2")) {
        return VITALPROOF_KERNEL_OF(avx2);
    }
#endif
    return VITALPROOF_KERNEL_OF(baseline);
}

#undef VITALPROOF_KERNEL_OF

const kernel& chosen_kernel() {
    static const kernel chosen = choose_kernel();
    return chosen;
}

}  // namespace

void run_catalogue(const lane_block& block, const limits& in_force, block_flags& flags) {
    chosen_kernel().run(block, in_force, flags);
}

bool gather_numbers(const double* from, std::size_t count, const column_lanes& into) {
    return chosen_kernel().gather(from, count, into);
}

void follow(lane_block& block, const lane_block* next, follower& followed) {
    chosen_kernel().follow(block, next, followed);
}

void put_readings(lane_block& block, std::size_t row, std::span<const vital_set> sets) {
    chosen_kernel().put(block, row, sets);
}

void pad_rows(lane_block& block) { chosen_kernel().pad(block); }

}  // namespace vitalproof::inline VITALPROOF_ABI
