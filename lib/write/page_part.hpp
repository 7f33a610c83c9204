// What the reviewer's page may show of some reports and their findings, as text.
// Used by page_data, which takes it over part by part. Promises each report's head and sets once a
// part, and no finding that is too light for the page already.
#pragma once

#include "write/gravity.hpp"
#include "write/text_block.hpp"
#include "write/worded.hpp"
#include <vitalproof/care_report.hpp>
#include <vitalproof/finding.hpp>

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace vitalproof::write {

class page_part {
public:
    /// Of a report no more sets are shown beside those that have findings. Keeps a reference.
    page_part(std::size_t sets_of_report, const gravity_bound& too_light)
        : sets_of_report_(sets_of_report), too_light_(too_light) {}

    /// A finding of a report that was read from `file`; of one report after another.
    void add(std::string_view file, const finding& f, const worded& in_words,
             const care_report& report);
    void clear();

    struct finding_entry {
        unsigned gravity = 0;
        const batch_finding* part_of = nullptr;
        std::string_view text{};  ///< elements of an array
        std::size_t set = 0;
        std::string_view own_set{};  ///< that set, where the report's sets do not hold it
    };
    struct report_entry {
        std::string_view crew{};
        std::string_view head{};  ///< members of its object, as JSON
        std::string_view sets{};  ///< elements of an array
        std::uint64_t first_line = 0;
        std::size_t set_count = 0;
    };

    /// How many findings were added, kept or not.
    std::uint64_t seen() const { return seen_; }
    std::size_t bytes() const { return texts_.size(); }

    /// Calls `take(report_entry, span<const finding_entry>)` for each report.
    template <class Take>
    void for_each_report(Take&& take) const {
        std::vector<finding_entry> findings;
        std::size_t next = 0;
        for (std::size_t i = 0; i < reports_.size(); ++i) {
            findings.clear();
            for (; next < findings_.size() && findings_[next].report == i; ++next) {
                const kept_finding& f = findings_[next];
                findings.push_back(
                    {f.gravity, f.part_of, text_at(f.text), f.set, text_at(f.own_set)});
            }
            const kept_report& r = reports_[i];
            take(report_entry{r.crew, text_at(r.head), text_at(r.sets), r.first_line, r.set_count},
                 std::span<const finding_entry>(findings));
        }
    }

private:
    struct place {
        std::size_t begin = 0;
        std::size_t end = 0;
    };
    struct kept_report {
        std::string id{};
        std::string crew{};
        std::uint64_t first_line = 0;
        std::size_t set_count = 0;
        std::size_t last_set = 0;
        place head{};
        place sets{};
        place own_set{};  ///< of the last set, where it is not among these
    };
    struct kept_finding {
        std::size_t report = 0;
        unsigned gravity = 0;
        const batch_finding* part_of = nullptr;
        place text{};
        std::size_t set = 0;
        place own_set{};
    };

    bool is_of_last(const care_report& report, std::size_t set) const;
    void begin(std::string_view file, const care_report& report);
    template <class Append>
    place put(Append append);
    std::string_view text_at(place of) const {
        return texts_.text().substr(of.begin, of.end - of.begin);
    }

    std::size_t sets_of_report_;
    const gravity_bound& too_light_;
    std::uint64_t seen_ = 0;
    text_block texts_;
    std::vector<kept_report> reports_;
    std::vector<kept_finding> findings_;
};

}  // namespace vitalproof::write
