// What both_ways.hpp declares, computed in whichever way the including file is built.
// In the library's inline namespace, so that a program may hold it built both ways.
#pragma once

#include "both_ways.hpp"
#include "random_sets.hpp"
#include <vitalproof/fingerprint.hpp>

#include <typeinfo>

namespace vitalproof::inline VITALPROOF_ABI {
namespace testing {

inline flags_one_way flags_of(std::uint64_t seed, std::size_t count) {
    const rows made = random_rows(seed, count);
    flags_one_way flags{
        typeid(finding).name(), flag_rows(columns_of(made)).fired, fired_by_records(made), {}};
    for (const care_report& report : made.reports) {
        for (const finding& f : examine(report)) {
            flags.fingerprints.push_back(fingerprint(f));
        }
    }
    return flags;
}

}  // namespace testing
}  // namespace vitalproof::inline VITALPROOF_ABI
