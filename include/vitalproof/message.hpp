// Turns a finding into words: the question, what was charted, what was expected.
// Used by writers and by charting tools that show a finding on the spot. Promises plain words in
// the order charted, why, what to ask; and never a verdict on a person.
#pragma once

#include <vitalproof/finding.hpp>
#include <vitalproof/limit_entries.hpp>

#include <array>
#include <charconv>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <optional>
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
    char* end = std::to_chars(text.data(), text.data() + text.size(), value,
                              std::chars_format::fixed, 2)
                    .ptr;
    while (end[-1] == '0') {
        --end;
    }
    if (end[-1] == '.') {
        --end;
    }
    const std::string_view written(text.data(), static_cast<std::size_t>(end - text.data()));
    return written == "-0" ? "0" : std::string(written);
}

/// A number with its unit: `120 mmHg`, `98 %`, `20/min`; a score is bare.
inline std::string with_unit(double value, std::string_view unit) {
    std::string text = number(value);
    if (unit == "points") {
        return text;  // a score is said as a number
    }
    if (!unit.empty() && unit.front() != '/') {
        text += ' ';
    }
    return text.append(unit);
}

/// A worked-out number no finer than people chart it: whole, temperatures to a tenth.
inline std::string worked_out(const evidence_number& n) {
    const double steps = n.unit == "°C" ? 10 : 1;
    return with_unit(std::round(n.value * steps) / steps, n.unit);
}

inline std::string_view name_of(absence why) {
    constexpr std::array<std::string_view, 7> names{
        "not carried by the source", "left blank",        "not recorded", "not applicable",
        "refused",                   "unable to complete", "not present"};
    return names[static_cast<std::size_t>(why)];
}

namespace detail {

/// Two digits; a number of more is written whole.
inline void append_two(std::string& text, long long value) {
    if (value > 99) {
        text.append(std::to_string(value));
        return;
    }
    text.push_back(static_cast<char>('0' + value / 10));
    text.push_back(static_cast<char>('0' + value % 10));
}

inline void append_clock(std::string& text, long long first, char between, long long second) {
    append_two(text, first);
    text.push_back(between);
    append_two(text, second);
}

}  // namespace detail

/// A set's time for a file: `2026-03-01T14:32:00`, with its offset where one was given; elapsed
/// times as `26:07`. Empty where there is none. Years 0 to 9999.
inline std::string time(const std::optional<set_time>& at) {
    std::string text;
    if (!at) {
        return text;
    }
    using namespace std::chrono;
    const auto day = floor<days>(at->local);
    const hh_mm_ss clock{at->local - day};
    if (at->elapsed) {
        detail::append_clock(text, floor<hours>(at->local.time_since_epoch()).count(), ':',
                             clock.minutes().count());
        return text;
    }
    const year_month_day date{day};
    const int year = static_cast<int>(date.year());
    text.reserve(26);
    detail::append_two(text, year / 100);
    detail::append_two(text, year % 100);
    text.push_back('-');
    detail::append_clock(text, static_cast<unsigned>(date.month()), '-',
                         static_cast<unsigned>(date.day()));
    text.push_back('T');
    detail::append_clock(text, clock.hours().count(), ':', clock.minutes().count());
    text.push_back(':');
    detail::append_two(text, clock.seconds().count());
    if (at->utc_offset) {
        const long long offset = at->utc_offset->count();
        const long long size = offset < 0 ? -offset : offset;
        text.push_back(offset < 0 ? '-' : '+');
        detail::append_clock(text, size / 60, ':', size % 60);
    }
    return text;
}

/// Which set, in a sentence: `Set 3, 14:32`; `Set 3` without a time.
inline std::string set_name(const finding& f) {
    std::string name = "Set " + std::to_string(f.set);
    if (const std::string at = time(f.taken_at); !at.empty()) {
        const std::size_t clock = at.find('T');
        name += ", " + (clock == std::string::npos ? at : at.substr(clock + 1, 5));
    }
    return name;
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
                limits_[*check].push_back(
                    {entry.name, static_cast<double>(*entry.value), entry.unit});
            }
        }
    }

    /// The question to the crew: which set, what was charted, why it is asked, what to tell.
    std::string question(const finding& f) const {
        return message::set_name(f) + ": " + fill(f, f.info().question);
    }
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

    struct named_limit {
        std::string name;
        double value;
        std::string_view unit;
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
                return message::worked_out(n);
            }
        }
        return limit_text(f, name);
    }

    /// `{range}` is from low to high with the unit said once: `20 to 160 mmHg`.
    std::string limit_text(const finding& f, std::string_view name) const {
        if (name == "range") {
            const named_limit* low = limit_named(f, "low");
            const named_limit* high = limit_named(f, "high");
            return low == nullptr || high == nullptr
                       ? "{range}"
                       : message::number(low->value) + " to " +
                             message::with_unit(high->value, high->unit);
        }
        const named_limit* limit = limit_named(f, name);
        return limit == nullptr ? "{" + std::string(name) + "}"
                                : message::with_unit(limit->value, limit->unit);
    }

    /// A limit as it applied: where a fact replaced the general range, the replacement.
    const named_limit* limit_named(const finding& f, std::string_view name) const {
        const std::string replaced = std::string(name) + "_when_";
        const named_limit* general = nullptr;
        for (const auto& limit : limits_[f.check]) {
            if (limit.name.starts_with(replaced) && holds(f, limit.name.substr(replaced.size()))) {
                return &limit;
            }
            if (limit.name == name) {
                general = &limit;
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
    std::array<std::vector<named_limit>, check_count> limits_{};
};

}  // namespace vitalproof::inline VITALPROOF_ABI
