// A finding in words, worked out once for all that is written of it.
// Used by the writers of findings and of the page. Promises the same words and fingerprint to both.
#pragma once

#include <vitalproof/fingerprint.hpp>
#include <vitalproof/message.hpp>

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

private:
    message_writer words_;
    fingerprinter prints_;
    std::string taken_at_;
    std::string set_name_;  // in a sentence: `Set 3, 14:32`
    std::string charted_;
    std::string expected_;
    std::string question_;
    std::string perhaps_;
    std::string_view fingerprint_;
};

}  // namespace vitalproof::write
