// The ten questions a reviewer should look at first.
// Used by the summary. Promises memory for ten, one question a reading, no clinical finding,
// as those are not questions to a crew, and none that a finding about a whole column explains.
#pragma once

#include "write/gravity.hpp"
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

    first_questions() = default;
    /// Of a part: those alone that the list may still take to which it will be added.
    explicit first_questions(const gravity_bound& of_list) : too_light_(&of_list) {}
    first_questions(const first_questions&) = delete;
    first_questions& operator=(const first_questions&) = delete;

    void add(std::span<const finding> of_set);
    /// What a part found, behind what was added before.
    void add(const first_questions& of_part);
    void clear() { kept_.clear(); }

    /// What is too light for the list.
    const gravity_bound& bound() const { return own_bound_; }

    /// By priority, then by what is asked, then in the order found.
    std::span<const question> list() const { return kept_; }

private:
    void add_one(const finding& f, std::size_t others);

    gravity_bound own_bound_;
    const gravity_bound* too_light_ = &own_bound_;
    std::vector<question> kept_;
};

}  // namespace vitalproof::write
