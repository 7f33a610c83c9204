// The ten questions a reviewer should look at first.
// Used by the summary. Promises memory for ten, one question a reading, no clinical finding,
// as those are not questions to a crew, and none that a finding about a whole column explains.
#pragma once

#include <vitalproof/message.hpp>

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace vitalproof::write {

class first_questions {
public:
    static constexpr std::size_t most = 10;

    struct question {
        finding about;
        std::size_t others = 0;  ///< further findings on the same reading
    };

    void add(std::span<const finding> of_set);

    /// By priority, then by what is asked, then in the order found.
    std::span<const question> list() const { return kept_; }

private:
    void add_one(const finding& f, std::size_t others);

    std::vector<question> kept_;
};

}  // namespace vitalproof::write
