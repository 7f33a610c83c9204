// A finding in words, worked out once for all that is written of it.
// Used by the writers of findings and of the page. Promises the same words and fingerprint to both.
#pragma once

#include "write/checked_text.hpp"
#include <vitalproof/explain/words.hpp>
#include <vitalproof/fingerprint.hpp>
#include <vitalproof/message.hpp>

#include <array>
#include <cstddef>
#include <string>
#include <string_view>

namespace vitalproof::write {

class worded {
public:
    explicit worded(const limits& in_force) : words_(in_force) {}

    /// The set that the next findings are about.
    void start_set(const finding& any);

    /// One of its findings; what is told below holds until the next.
    void take(const finding& f);

    std::string_view taken_at() const { return taken_at_; }
    const checked_text& charted() const { return charted_.told; }
    const checked_text& expected() const { return expected_.told; }
    const checked_text& question() const { return question_.told; }
    checked_text fingerprint() const { return {fingerprint_, true}; }
    /// What was probably meant; for the reviewer alone.
    const checked_text& perhaps() const { return perhaps_.told; }
    /// Of one explanation its sentence, and the reason in it.
    checked_text perhaps(std::size_t place) const {
        return perhaps().part(explained_[place].begin, explained_[place].end);
    }
    checked_text reason(std::size_t place) const {
        return perhaps().part(explained_[place].reason, explained_[place].end - 1);
    }

private:
    /// A text in a buffer that is used again.
    struct kept_text {
        std::string text{};
        checked_text told{};
    };
    template <class Append>
    static void tell(kept_text& kept, Append append) {
        kept.text.clear();
        append(kept.text);
        kept.told = checked(kept.text);
    }

    message_writer words_;
    fingerprinter prints_;
    std::string taken_at_;
    std::string set_name_;  // in a sentence: `Set 3, 14:32`
    kept_text charted_{};
    kept_text expected_{};
    kept_text question_{};
    kept_text perhaps_{};
    std::array<message::explanation_words, explanations::most> explained_{};
    std::string_view fingerprint_;
};

}  // namespace vitalproof::write
