// What a check of a batch says of a column, a device or two reports, and the same in words.
// Made by the audit, read by whoever writes. Promises that it names no crew: a column is a question
// to whoever makes the export, a clock to whoever keeps the monitors.
#pragma once

#include <vitalproof/batch_checks.hpp>
#include <vitalproof/detail/append.hpp>
#include <vitalproof/signs.hpp>

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

/// Members beyond `check` and `file` are meaningful for their check alone.
struct batch_finding {
    batch_check check = batch_check::unit_column;
    std::string file{};

    // unit.column
    std::string column{};  ///< the header; several of one sign with a comma between
    sign_id sign = sign_id::systolic;
    std::string_view stated{};  ///< a unit's symbol
    std::string_view fits{};    ///< the symbol of the unit the numbers fit
    checks::unit_column::counts counts{};

    // clock.device
    std::string device{};
    std::int64_t shift = 0;  ///< minutes by which its times would have to be later
    checks::clock_device::counts clocks{};

    // repeated.report: pairs of sets, each by the number of its first
    std::string report{};
    std::uint64_t set = 0;
    std::string other_report{};
    std::uint64_t other_set = 0;

    const batch_check_info& info() const { return describe(check); }
};

/// What a finding of a batch is about, as files name it.
inline std::string_view subject_of(const batch_finding& f) {
    return f.info().about.empty() ? describe(f.sign).name : f.info().about;
}

/// A number behind such a finding.
struct batch_number {
    std::string_view name;
    std::int64_t value;
    std::string_view unit;
};

inline std::vector<batch_number> numbers_of(const batch_finding& f) {
    const auto whole = [](std::uint64_t count) { return static_cast<std::int64_t>(count); };
    switch (f.check) {
        case batch_check::unit_column:
            return {{"looked_at", whole(f.counts.numbers), f.stated},
                    {"fitting", whole(f.counts.fitting), f.fits}};
        case batch_check::clock_device:
            return {{"shift", f.shift, "min"},
                    {"reports", whole(f.clocks.reports), ""},
                    {"shifted", whole(f.clocks.shifted), ""}};
        case batch_check::repeated_report:
            return {{"set", whole(f.set), ""}, {"other_set", whole(f.other_set), ""}};
    }
    return {};
}

namespace message {

inline std::optional<std::int64_t> number_named(const batch_finding& f, std::string_view name) {
    for (const batch_number& n : numbers_of(f)) {
        if (n.name == name) {
            return n.value;
        }
    }
    return std::nullopt;
}

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
        } else if (name == "device") {
            filled.append(f.device);
        } else if (name == "direction") {
            filled.append(f.shift > 0 ? "slow" : "fast");
        } else if (name == "shift") {
            vitalproof::detail::append_integer(filled, f.shift < 0 ? -f.shift : f.shift);
            filled.append(" min");
        } else if (name == "next" || name == "other_next") {
            vitalproof::detail::append_integer(filled, (name == "next" ? f.set : f.other_set) + 1);
        } else if (name == "other_report") {
            filled.append(f.other_report);
        } else if (const auto number = number_named(f, name)) {
            vitalproof::detail::append_integer(filled, *number);
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
inline std::string charted(const batch_finding& f) { return fill(f, f.info().charted); }
/// Where it was found: a file, a report, a device.
inline std::string place(const batch_finding& f) {
    return !f.file.empty()     ? f.file
           : !f.report.empty() ? "report " + f.report
                               : "device " + f.device;
}

}  // namespace message

}  // namespace vitalproof::inline VITALPROOF_ABI
