// The readings and worked-out numbers behind a finding as a JSON array.
// Used by the writer of findings. Promises every reading the finding rests on, in the order of the
// signs, with its unit where it is a number and with its text where the chart had one.
#pragma once

#include <vitalproof/finding.hpp>

#include <array>
#include <string>

namespace vitalproof::write {

class evidence_writer {
public:
    evidence_writer();

    void append(std::string& out, const evidence& e) const;

private:
    void append_reading(std::string& out, const evidence_reading& r) const;

    /// Around the value of a reading that is a number, as nearly all are: the same for each sign.
    struct around_value {
        std::string before;
        std::string after;
    };
    std::array<around_value, sign_count> numbers_{};
};

}  // namespace vitalproof::write
