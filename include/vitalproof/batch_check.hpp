// What a check of a whole batch is: its description and a fold over what it counts.
// Used by the checks of whole columns. Promises that such a check says everything about itself in
// one struct, as a check of a set does, and that its counts are whole numbers which may be added
// up in pieces.
#pragma once

#include <vitalproof/check.hpp>

#include <concepts>
#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {

/// What a check of a batch says about itself. In its texts the names that batch_finding.hpp knows
/// stand for what was found: `{column}`, `{device}` and their like.
struct batch_check_info {
    std::string_view code;  ///< `family.what`; never renamed, never reused
    std::string_view title;
    vitalproof::asks asks;
    vitalproof::priority priority;
    vitalproof::kind kind;
    std::string_view question;
    std::string_view expected;
    std::string_view charted;
    std::string_view why;  ///< for the reviewer
    std::string_view source;
    std::string_view heading;  ///< of its findings in a list: whom they go to
    /// What a finding is about where that is not a column of a sign: `device`, `readings`.
    std::string_view about{};
};

/// A fold: counts that are merged piece by piece, then one predicate over their sum.
template <class C>
concept BatchCheck = requires(typename C::counts sum, const typename C::counts& piece) {
    { C::info } -> std::convertible_to<batch_check_info>;
    sum.merge(piece);
    { C::fires(piece) } -> std::same_as<bool>;
};

}  // namespace vitalproof::inline VITALPROOF_ABI
