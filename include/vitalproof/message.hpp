// Turns a finding into words: the question, what was charted, what was expected.
// Used by writers and by charting tools that show a finding on the spot. Promises plain words in
// the order charted, why, what to ask; and never a verdict on a person.
#pragma once

#include <vitalproof/check_text.hpp>
#include <vitalproof/finding.hpp>
#include <vitalproof/limit_entries.hpp>
#include <vitalproof/words.hpp>

#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::inline VITALPROOF_ABI {

/// Renders a finding's texts against the limits it was judged by. Every text of the catalogue is
/// prepared when it is made, so make one and keep it. May be used by many threads at once.
///
/// Each text comes in two forms: returned, and appended to a buffer that is used again.
class message_writer {
public:
    /// Keeps what the texts need of the limits.
    explicit message_writer(limits in_force) {
        for (const auto& entry : list_limits(in_force)) {
            if (const auto check = find_check(entry.table)) {
                limits_[*check].push_back(
                    {entry.name, static_cast<double>(*entry.value), entry.unit});
            }
        }
        for (std::size_t check = 0; check < check_count; ++check) {
            const check_info& info = check_table[check];
            const auto prepared = [&](std::string_view text) {
                return check_text(text, info, limits_[check]);
            };
            texts_[check] = {prepared(info.title), prepared(info.question),
                             prepared(info.expected)};
        }
    }

    /// The question to the crew: which set, what was charted, why it is asked, what to tell.
    std::string question(const finding& f) const {
        std::string text;
        message::append_set_name(text, f.set, message::time(f.taken_at));
        append_question(text.append(": "), f);
        return text;
    }
    std::string expected(const finding& f) const {
        std::string text;
        append_expected(text, f);
        return text;
    }
    std::string title(const finding& f) const { return sentence(f, texts_[f.check].title); }

    /// What stands in the chart for the reading the finding points at.
    std::string charted(const finding& f) const {
        std::string text;
        append_charted(text, f);
        return text;
    }

    /// A text of a check as a sentence, each `{name}` filled in from the finding's readings,
    /// worked-out numbers and limits. A name that is none of them stays as it is; a test holds
    /// every text of the catalogue against that.
    std::string fill(const finding& f, std::string_view text) const {
        return sentence(f, check_text(text, f.info(), limits_[f.check]));
    }

    /// The question without the set it is about, for who has named that already.
    void append_question(std::string& to, const finding& f) const {
        append_sentence(to, f, texts_[f.check].question);
    }
    void append_expected(std::string& to, const finding& f) const {
        texts_[f.check].expected.append_to(to, f);
    }
    void append_charted(std::string& to, const finding& f) const {
        if (f.info().about == "taken_at") {
            message::append_time(to, f.taken_at);
            to.append(f.taken_at ? "" : "no time");
            return;
        }
        if (!f.info().about.empty()) {
            message::append_readings(to, f);
            return;
        }
        for (const auto& r : f.evidence.readings()) {
            if (r.sign == f.info().sign) {
                message::lacks_unit(f, r) ? message::append_without_unit(to, r)
                                          : message::append_charted(to, r);
                return;
            }
        }
    }

private:
    struct prepared_texts {
        check_text title;
        check_text question;
        check_text expected;
    };

    static std::string sentence(const finding& f, const check_text& text) {
        std::string filled;
        append_sentence(filled, f, text);
        return filled;
    }

    /// The text, beginning with a capital.
    static void append_sentence(std::string& to, const finding& f, const check_text& text) {
        const std::size_t first = to.size();
        text.append_to(to, f);
        if (first < to.size() && to[first] >= 'a' && to[first] <= 'z') {
            to[first] = static_cast<char>(to[first] - 'a' + 'A');
        }
    }

    std::array<std::vector<named_limit>, check_count> limits_{};
    std::array<prepared_texts, check_count> texts_{};
};

}  // namespace vitalproof::inline VITALPROOF_ABI
