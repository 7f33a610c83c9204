// What a reviewer decided about earlier findings, as the reviewer's page saves it: JSON, schema 1.
// Used by the program. Promises that a file that is no such thing is refused whole, and that a
// decision is known by its finding's fingerprint alone.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace vitalproof::read {

/// The schema this version reads; its pages write it.
inline constexpr int decisions_schema = 1;

/// Larger files are refused.
inline constexpr std::size_t most_decisions_bytes = std::size_t{16} << 20;

enum class decided : std::uint8_t {
    stands,      ///< as charted
    asked,       ///< the crew was asked to review it, and has not answered
    answered,    ///< by the crew
    no_concern,  ///< to the reviewer
};

struct decision {
    decided what = decided::stands;
    std::string fingerprint{};
    std::string note{};
    std::string decided_at{};
    // What it was about: for people, and to tell where the evidence has changed since.
    std::string report{};
    std::string check{};
    std::string when{};
    std::string charted{};
};

std::string_view name_of(decided what);

/// Decisions by the fingerprints of what they are about; of two about one, the later in the file.
class decision_list {
public:
    void add(decision d);
    const std::vector<decision>& all() const { return all_; }
    bool empty() const { return all_.empty(); }

private:
    std::vector<decision> all_;
    std::unordered_map<std::string, std::size_t> by_fingerprint_;
};

struct decisions_outcome {
    decision_list decisions{};
    std::vector<std::string> errors{};  ///< then the decisions are not to be used
};

/// Reads the text of such a file; `file` is what messages call it.
decisions_outcome parse_decisions(std::string_view text, const std::string& file);

}  // namespace vitalproof::read
