// What a check of a batch says of a column, and the same in words.
// Made by the audit, read by whoever writes. Promises that it names the column and no report, set
// or crew: it is a question to whoever makes the export.
#pragma once

#include <vitalproof/batch_checks.hpp>
#include <vitalproof/detail/append.hpp>
#include <vitalproof/signs.hpp>

#include <cstdint>
#include <string>
#include <string_view>

namespace vitalproof::inline VITALPROOF_ABI {

struct batch_finding {
    batch_check check = batch_check::unit_column;
    std::string file{};
    std::string column{};  ///< the header; several of one sign with a comma between
    sign_id sign = sign_id::systolic;
    std::string_view stated{};  ///< a unit's symbol
    std::string_view fits{};    ///< the symbol of the unit the numbers fit
    checks::unit_column::counts counts{};

    const batch_check_info& info() const { return describe(check); }
};

namespace message {

/// A text of the check with what was found in the place of each `{name}`; a name that is none of
/// them stays as it is.
inline std::string fill(const batch_finding& f, std::string_view text) {
    std::string filled;
    const auto append = [&](std::string_view name) {
        if (name == "column") {
            filled.append("\"").append(f.column).append("\"");
        } else if (name == "stated") {
            filled.append(f.stated);
        } else if (name == "fits") {
            filled.append(f.fits);
        } else if (name == "fitting") {
            vitalproof::detail::append_integer(filled, f.counts.fitting);
        } else if (name == "looked_at") {
            vitalproof::detail::append_integer(filled, f.counts.numbers);
        } else {
            filled.append("{").append(name).append("}");
        }
    };
    for (std::size_t open; (open = text.find('{')) != std::string_view::npos;) {
        const std::size_t close = text.find('}', open);
        if (close == std::string_view::npos) {
            break;
        }
        filled.append(text.substr(0, open));
        append(text.substr(open + 1, close - open - 1));
        text.remove_prefix(close + 1);
    }
    return filled.append(text);
}

inline std::string question(const batch_finding& f) { return fill(f, f.info().question); }
inline std::string expected(const batch_finding& f) { return fill(f, f.info().expected); }
inline std::string charted(const batch_finding& f) {
    return fill(f, "{stated} stated, {fitting} of {looked_at} numbers fit {fits}");
}

}  // namespace message

}  // namespace vitalproof::inline VITALPROOF_ABI
