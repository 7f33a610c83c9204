// What checks of a whole report share.
// Used by their families alone. Promises nothing to anyone else.
#pragma once

#include <vitalproof/check.hpp>

namespace vitalproof::inline VITALPROOF_ABI {
namespace checks {
namespace detail {

/// Adds the readings of the signs in the mask to the evidence.
template <class Evidence>
void add_readings(Evidence& to, const vital_set& set, std::uint32_t signs) {
    for_each_sign(all_signs{}, [&]<VitalSign S>(S s) {
        if ((signs >> index_of(S::info.id) & 1U) != 0) {
            to.add(evidence_of(set[s]));
        }
    });
}

}  // namespace detail
}  // namespace checks
}  // namespace vitalproof::inline VITALPROOF_ABI
