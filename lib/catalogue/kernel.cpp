// The kernel compiled for each processor level, and the choice between them.
// Every header stands above the first target pragma: vector code must stay inside the unnamed
// namespaces below, or an inline function that every processor runs might be taken from here.
#include <vitalproof/run.hpp>

namespace vitalproof::inline VITALPROOF_ABI {

namespace {
namespace baseline {
#include <vitalproof/detail/kernel.inc>
}  // namespace baseline
}  // namespace

#if defined(__x86_64__)

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

#endif

namespace {

using kernel = void (*)(const lane_block&, const limits&, block_flags&);

kernel choose_kernel() {
#if defined(__x86_64__)
    __builtin_cpu_init();
    if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") &&
        __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl") &&
        __builtin_cpu_supports("bmi2")) {
        return [](const lane_block& b, const limits& l, block_flags& f) {
            avx512::run_checks(catalogue{}, b, l, f);
        };
    }
    if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("bmi2")) {
        return [](const lane_block& b, const limits& l, block_flags& f) {
            avx2::run_checks(catalogue{}, b, l, f);
        };
    }
#endif
    return [](const lane_block& b, const limits& l, block_flags& f) {
        baseline::run_checks(catalogue{}, b, l, f);
    };
}

}  // namespace

void run_catalogue(const lane_block& block, const limits& in_force, block_flags& flags) {
    static const kernel chosen = choose_kernel();
    chosen(block, in_force, flags);
}

}  // namespace vitalproof::inline VITALPROOF_ABI
