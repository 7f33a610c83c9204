// Turns a finding into words: the question, what was charted, what was expected.
// Used by writers and by charting tools that show a finding on the spot. Promises plain words in
// the order charted, why, what to ask; and never a verdict on a person.
#pragma once

#include <vitalproof/finding.hpp>
#include <vitalproof/limit_entries.hpp>

#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

namespace message {

/// A number as people write it: at most two decimals, no trailing zeros; very large ones in short.
inline std::string number(double value) {
    std::array<char, 64> text{};
    if (std::abs(value) >= 1e7) {
        std::snprintf(text.data(), text.size(), "%.3g", value);
        return text.data();
    }
    std::snprintf(text.data(), text.size(), "%.2f", value);
    std::string written = text.data();
    written.erase(written.find_last_not_of('0') + 1);
    if (written.back() == '.') {
        written.pop_back();
    }
    return written == "-0" ? "0" : written;
}

/// A number with its unit: `120 mmHg`, `98 %`, `20/min`, `7 points`.
inline std::string with_unit(double value, std::string_view unit) {
    std::string text = number(value);
    if (!unit.empty() && unit.front() != '/') {
        text += ' ';
    }
    return text.append(unit);
}

inline std::string_view name_of(absence why) {
    constexpr std::array<std::string_view, 7> names{
        "not carried by the source", "left blank",        "not recorded", "not applicable",
        "refused",                   "unable to complete", "not present"};
    return names[static_cast<std::size_t>(why)];
}

/// What stands in the chart: the text as charted where the source had one, else the value.
inline std::string charted(const evidence_reading& r) {
    if (!r.charted.empty()) {
        return r.charted.display();
    }
    switch (r.state) {
        case reading_state::above: return "HI";
        case reading_state::below: return "LO";
        case reading_state::absent: return std::string(name_of(r.why_absent));
        case reading_state::unreadable: return "unreadable";
        case reading_state::number: break;
    }
    if (r.sign == sign_id::responsiveness && r.value >= 1 && r.value <= 4) {
        return std::string(vitalproof::name_of(
            static_cast<responsiveness_level>(static_cast<int>(r.value))));
    }
    return with_unit(r.value, describe(r.sign).unit);
}

/// The same in a sentence: the value in the unit it is held in and, where the chart used other
/// words, those as well.
inline std::string spoken(const evidence_reading& r) {
    if (r.state != reading_state::number || r.charted.empty()) {
        return charted(r);
    }
    return with_unit(r.value, describe(r.sign).unit) + " (charted " + r.charted.display() + ")";
}

}  // namespace message

/// Renders a finding's texts against the limits it was judged by.
class message_writer {
public:
    /// Keeps a copy of the limits.
    explicit message_writer(const limits& in_force) : in_force_(in_force) {
        for (const auto& entry : list_limits(in_force_)) {
            if (const auto check = find_check(entry.table)) {
                limits_[*check].push_back({entry.name, message::with_unit(
                                                           static_cast<double>(*entry.value), entry.unit)});
            }
        }
    }

    /// The question to the crew, without the set it speaks of.
    std::string question(const finding& f) const { return fill(f, f.info().question); }
    std::string expected(const finding& f) const { return insert_names(f, f.info().expected); }
    std::string title(const finding& f) const { return fill(f, f.info().title); }

    /// What stands in the chart for the reading the finding points at.
    std::string charted(const finding& f) const {
        for (const auto& r : f.evidence.readings()) {
            if (r.sign == f.info().sign) {
                return message::charted(r);
            }
        }
        return {};
    }

    /// A text of a check as a sentence, each `{name}` filled in from the finding's readings,
    /// worked-out numbers and limits. A name that is none of them stays as it is; a test holds
    /// every text of the catalogue against that.
    std::string fill(const finding& f, std::string_view text) const {
        return capitalised(insert_names(f, text));
    }

private:
    std::string insert_names(const finding& f, std::string_view text) const {
        std::string filled;
        for (std::size_t open; (open = text.find('{')) != std::string_view::npos;) {
            const std::size_t close = text.find('}', open);
            if (close == std::string_view::npos) {
                break;
            }
            filled.append(text.substr(0, open));
            filled.append(value_of_name(f, text.substr(open + 1, close - open - 1)));
            text.remove_prefix(close + 1);
        }
        return filled.append(text);
    }

    static std::string capitalised(std::string text) {
        if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') {
            text.front() = static_cast<char>(text.front() - 'a' + 'A');
        }
        return text;
    }

    struct named_text {
        std::string name;
        std::string text;
    };

    std::string value_of_name(const finding& f, std::string_view name) const {
        const sign_info& sign = describe(f.info().sign);
        if (name == "label") {
            return std::string(sign.label);
        }
        if (name == "unit") {
            return sign.unit.empty() ? "one of its levels" : std::string(sign.unit);
        }
        for (const auto& r : f.evidence.readings()) {
            if (describe(r.sign).name == name || (name == "charted" && r.sign == sign.id)) {
                return f.info().kind == kind::conformance ? message::charted(r)
                                                          : message::spoken(r);
            }
        }
        for (const auto& n : f.evidence.numbers()) {
            if (n.name == name) {
                return message::with_unit(n.value, n.unit);
            }
        }
        return limit_text(f, name);
    }

    /// A limit as it applied: where a fact replaced the general range, the replacement.
    std::string limit_text(const finding& f, std::string_view name) const {
        const std::string replaced = std::string(name) + "_when_";
        std::string general = "{" + std::string(name) + "}";
        for (const auto& limit : limits_[f.check]) {
            if (limit.name == name) {
                general = limit.text;
            }
        }
        for (const auto& limit : limits_[f.check]) {
            if (limit.name.starts_with(replaced) && holds(f, limit.name.substr(replaced.size()))) {
                return limit.text;
            }
        }
        return general;
    }

    static bool holds(const finding& f, std::string_view fact_name) {
        for (std::size_t i = 0; i < fact_count; ++i) {
            if (fact_names[i] == fact_name) {
                return f.known.is(static_cast<fact>(i));
            }
        }
        return false;
    }

    limits in_force_;
    std::array<std::vector<named_text>, check_count> limits_{};
};

}  // namespace vitalproof::inline VITALPROOF_ABI
