// A finding in words, worked out once for all that is written of it.
// Used by the writers of findings and of the page. Promises the same words and fingerprint to both.
#pragma once

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
    std::string_view charted() const { return charted_; }
    std::string_view expected() const { return expected_; }
    std::string_view question() const { return question_; }
    std::string_view fingerprint() const { return fingerprint_; }
    /// What was probably meant; for the reviewer alone.
    std::string_view perhaps() const { return perhaps_; }
    /// Of one explanation its sentence, and the reason in it.
    std::string_view perhaps(std::size_t place) const {
        const auto& [begin, reason, end] = explained_[place];
        return perhaps().substr(begin, end - begin);
    }
    std::string_view reason(std::size_t place) const {
        const auto& [begin, reason, end] = explained_[place];
        return perhaps().substr(reason, end - 1 - reason);
    }

private:
    message_writer words_;
    fingerprinter prints_;
    std::string taken_at_;
    std::string set_name_;  // in a sentence: `Set 3, 14:32`
    std::string charted_;
    std::string expected_;
    std::string question_;
    std::string perhaps_;
    std::array<message::explanation_words, explanations::most> explained_{};
    std::string_view fingerprint_;
};

}  // namespace vitalproof::write
