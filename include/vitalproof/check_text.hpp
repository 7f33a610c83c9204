// A check's text with its names looked up beforehand: words, and places for values.
// Used by message_writer, which holds every text of the catalogue so. Promises that rendering a
// finding searches for no name of a sign or a limit, and that a name that is none stays as it is.
#pragma once

#include <vitalproof/finding.hpp>
#include <vitalproof/words.hpp>

#include <algorithm>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

/// One of a check's limits in force. `low_when_exposure` replaces `low` where that fact is known.
struct named_limit {
    std::string name;
    double value;
    std::string_view unit;
};

class check_text {
public:
    check_text() = default;

    /// Takes `text` apart. A name in it stands for the first of: the check's own label and unit, a
    /// reading, a limit, a number worked out. `before` and `after` are the neighbours of the
    /// reading that the finding points at.
    check_text(std::string_view text, const check_info& of, std::span<const named_limit> limits) {
        for (std::size_t open; (open = text.find('{')) != std::string_view::npos;) {
            const std::size_t close = text.find('}', open);
            if (close == std::string_view::npos) {
                break;
            }
            add_words(text.substr(0, open));
            add_name(text.substr(open + 1, close - open - 1), of, limits);
            text.remove_prefix(close + 1);
        }
        add_words(text);
    }

    /// Appends the text with the finding's values in their places.
    void append_to(std::string& to, const finding& f) const {
        for (const part& p : parts_) {
            std::visit([&](const auto& kind_of_part) { append(to, f, kind_of_part); }, p);
        }
    }

private:
    using words = std::string;

    struct evidence_value {
        std::string name;
        std::optional<sign_id> sign{};  ///< where it is a reading
        evidence_place where = evidence_place::here;
        bool all_readings = name == "readings";
    };

    /// A limit's text as it applies: the first replacement whose fact holds, else the general one.
    struct limit_value {
        std::string general;
        std::vector<std::pair<fact, std::string>> replaced;
    };

    using part = std::variant<words, evidence_value, limit_value>;

    // Taking apart.

    void add_words(std::string_view text) {
        if (!parts_.empty() && std::holds_alternative<words>(parts_.back())) {
            std::get<words>(parts_.back()).append(text);
        } else if (!text.empty()) {
            parts_.emplace_back(words(text));
        }
    }

    void add_name(std::string_view name, const check_info& of,
                  std::span<const named_limit> limits) {
        const sign_info& own = describe(of.sign);
        const auto sign = name == "charted" ? of.sign : sign_named(name);
        if (name == "label") {
            add_words(own.label);
        } else if (name == "unit") {
            add_words(own.unit.empty() ? "one of its levels" : own.unit);
        } else if (sign) {
            parts_.emplace_back(evidence_value{std::string(name), sign});
        } else if (name == "before" || name == "after") {
            parts_.emplace_back(
                evidence_value{std::string(name), of.sign,
                               name == "before" ? evidence_place::before : evidence_place::after});
        } else if (name == "range" && has(limits, "low") && has(limits, "high")) {
            add_range(limits);
        } else if (has(limits, name)) {
            add_limit(name, limits, [](std::string& to, const named_limit& limit) {
                message::append_with_unit(to, limit.value, limit.unit);
            });
        } else {
            parts_.emplace_back(evidence_value{std::string(name)});
        }
    }

    /// From low to high with the unit said once: `20 to 160 mmHg`.
    void add_range(std::span<const named_limit> limits) {
        add_limit("low", limits, [](std::string& to, const named_limit& limit) {
            message::append_number(to, limit.value);
        });
        add_words(" to ");
        add_limit("high", limits, [](std::string& to, const named_limit& limit) {
            message::append_with_unit(to, limit.value, limit.unit);
        });
    }

    template <class AppendLimit>
    void add_limit(std::string_view name, std::span<const named_limit> limits,
                   AppendLimit append_limit) {
        limit_value value;
        for (const named_limit& limit : limits) {
            if (limit.name == name) {
                append_limit(value.general, limit);
            } else if (const auto when = fact_of_replacement(limit.name, name)) {
                append_limit(value.replaced.emplace_back(*when, "").second, limit);
            }
        }
        if (value.replaced.empty()) {
            add_words(value.general);
        } else {
            parts_.emplace_back(std::move(value));
        }
    }

    static std::optional<sign_id> sign_named(std::string_view name) {
        const auto found = std::ranges::find(sign_table, name, &sign_info::name);
        return found == sign_table.end() ? std::nullopt : std::optional(found->id);
    }

    static bool has(std::span<const named_limit> limits, std::string_view name) {
        return std::ranges::find(limits, name, &named_limit::name) != limits.end();
    }

    /// Of `low_when_exposure` as a replacement of `low`: exposure.
    static std::optional<fact> fact_of_replacement(std::string_view limit, std::string_view name) {
        constexpr std::string_view when = "_when_";
        if (!limit.starts_with(name) || !limit.substr(name.size()).starts_with(when)) {
            return std::nullopt;
        }
        const auto found = std::ranges::find(fact_names, limit.substr(name.size() + when.size()));
        return found == fact_names.end()
                   ? std::nullopt
                   : std::optional(static_cast<fact>(found - fact_names.begin()));
    }

    // Rendering.

    static void append(std::string& to, const finding& /*f*/, const words& text) {
        to.append(text);
    }

    static void append(std::string& to, const finding& f, const evidence_value& value) {
        if (value.all_readings) {
            message::append_readings(to, f);
            return;
        }
        for (const auto& moment : f.evidence.times()) {
            if (moment.name == value.name) {
                message::append_clock_of(to, moment.at);
                return;
            }
        }
        for (const auto& r : f.evidence.readings()) {
            if (value.sign == r.sign && value.where == r.where) {
                append_reading(to, f, r);
                return;
            }
        }
        for (const auto& n : f.evidence.numbers()) {
            if (n.name == value.name) {
                message::append_worked_out(to, n);
                return;
            }
        }
        to.append("{").append(value.name).append("}");
    }

    /// Where it is in question whether the text can be read, the text alone is told, in quotes.
    static void append_reading(std::string& to, const finding& f, const evidence_reading& r) {
        if (f.info().kind == kind::conformance) {
            const bool quoted = r.state != reading_state::number && !r.charted.text().empty();
            to.append(quoted ? "\"" : "");
            message::append_charted(to, r);
            to.append(quoted ? "\"" : "");
            to.append(is_spreadsheet_error(r.charted.text()) ? " (the spreadsheet shows an error)"
                                                             : "");
        } else if (message::lacks_unit(f, r)) {
            message::append_without_unit(to, r);
        } else {
            message::append_spoken(to, r);
        }
    }

    static void append(std::string& to, const finding& f, const limit_value& limit) {
        const auto applies = [&](const auto& replacement) { return f.known.is(replacement.first); };
        const auto found = std::ranges::find_if(limit.replaced, applies);
        to.append(found == limit.replaced.end() ? limit.general : found->second);
    }

    std::vector<part> parts_;
};

}  // namespace vitalproof::inline VITALPROOF_ABI
