#include "read/column_groups.hpp"

#include "read/text.hpp"

#include <algorithm>
#include <array>
#include <set>
#include <utility>

namespace vitalproof::read {

namespace {

constexpr std::size_t most_digits = 2;
constexpr std::size_t most_ways = 4;
constexpr std::size_t longest_numbered = 60;  // a longer text is no header

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

bool is_group_word(std::string_view word) {
    constexpr std::array<std::string_view, 12> words{"vitals", "vital",  "signs", "sign",
                                                     "vs",     "set",    "group", "reading",
                                                     "no",     "number", "nr",    "v"};
    return std::ranges::any_of(words, [word](auto known) { return same_word(known, word); });
}

// "Vitals" of "Vitals 2", "set no." of "SBP set no. 2".
std::string_view without_group_words(std::string_view before) {
    while (true) {
        std::size_t end = before.size();
        while (end > 0 && !is_letter(before[end - 1]) && !is_digit(before[end - 1])) {
            --end;
        }
        std::size_t begin = end;
        while (begin > 0 && is_letter(before[begin - 1])) {
            --begin;
        }
        if (!is_group_word(before.substr(begin, end - begin))) {
            return before;
        }
        before = before.substr(0, begin);
    }
}

// "st" of "1st".
std::string_view without_ordinal(std::string_view behind) {
    for (const std::string_view ending : {"st", "nd", "rd", "th"}) {
        if (same_word(behind.substr(0, 2), ending) &&
            (behind.size() == 2 || !is_letter(behind[2]))) {
            return behind.substr(2);
        }
    }
    return behind;
}

bool of_signs(const column& c) { return has_unit(c.role); }

// Whether two columns say the same thing, each of its group.
bool same_meaning(const column& a, const column& b) {
    return a.role == b.role && (a.role != column_role::sign || a.sign == b.sign) &&
           (a.role != column_role::known_fact || a.known == b.known);
}

void leave_out(column& c, std::string_view why) {
    c.remark = "not used: " + std::to_string(*c.group) + std::string(why);
    c.role = column_role::ignored;
    c.group.reset();
}

// The numbers that are groups: 1, 2 ... or 0, 1 ..., or from 2 where signs without a number are
// the first set.
std::set<unsigned> groups_of(const std::set<unsigned>& numbers, bool any_without) {
    std::set<unsigned> groups;
    const unsigned most_first = any_without ? 2 : 1;
    if (!numbers.empty() && *numbers.begin() <= most_first) {
        for (unsigned next = *numbers.begin(); numbers.contains(next); ++next) {
            groups.insert(next);
        }
    }
    return groups;
}

class settling {
public:
    explicit settling(std::span<column* const> columns) : columns_(columns) {
        std::set<unsigned> numbers;
        std::set<unsigned> said;  // by a mapping: no name that might mean something else
        for (const column* c : columns_) {
            if (of_signs(*c) && c->group) {
                numbers.insert(*c->group);
                if (c->mapped) {
                    said.insert(*c->group);
                }
            }
            any_without_ = any_without_ || (of_signs(*c) && !c->group);
        }
        groups_ = groups_of(numbers, any_without_);
        groups_.insert(said.begin(), said.end());
    }

    std::vector<unsigned> settle() {
        drop_stray_numbers();
        if (!groups_.empty()) {
            place_signs();
            for (const column_role role : {column_role::time, column_role::date}) {
                place_times(role);
            }
        }
        if (groups_.size() < 2) {
            for (column* c : columns_) {
                c->group.reset();
            }
            return {};
        }
        return {groups_.begin(), groups_.end()};
    }

private:
    void drop_stray_numbers() {
        for (column* c : columns_) {
            if (c->group && !groups_.contains(*c->group)) {
                leave_out(*c, of_signs(*c) ? " is no number of a set, as the one before is missing"
                                           : " is the number of no vital sign");
            }
        }
    }

    void place_signs() {
        const unsigned lowest = *groups_.begin();
        first_ = lowest;
        if (!any_without_) {
            return;
        }
        const bool taken = shares_signs(lowest);
        if (lowest > 1 || (taken && lowest == 1)) {
            first_ = lowest - 1;
            groups_.insert(first_);
        }
        for (column* c : columns_) {
            if (of_signs(*c) && !c->group) {
                place(*c);
            }
        }
    }

    // Whether a sign stands both in a group and without a number.
    bool shares_signs(unsigned group) const {
        std::set<std::pair<column_role, sign_id>> in_group;
        for (const column* c : columns_) {
            if (of_signs(*c) && c->group == group) {
                in_group.emplace(c->role, c->sign);
            }
        }
        return std::ranges::any_of(columns_, [&](const column* c) {
            return of_signs(*c) && !c->group && in_group.contains({c->role, c->sign});
        });
    }

    // Times without a number are of the first set where other times have one.
    void place_times(column_role role) {
        const auto is_numbered = [role](const column* c) { return c->role == role && c->group; };
        if (std::ranges::none_of(columns_, is_numbered)) {
            return;
        }
        const bool first_has_own = std::ranges::any_of(
            columns_, [&](const column* c) { return is_numbered(c) && *c->group == first_; });
        for (column* c : columns_) {
            if (c->role != role || c->group) {
                continue;
            }
            if (first_has_own) {
                c->role = column_role::ignored;
                c->remark = "not used: the first set has one of its own";
            } else {
                place(*c);
            }
        }
    }

    void place(column& c) const {
        c.group = first_;
        if (groups_.size() > 1) {
            c.remark = "without a number: read as of the first set";
        }
    }

    std::span<column* const> columns_;
    std::set<unsigned> groups_;
    unsigned first_ = 0;
    bool any_without_ = false;
};

understanding group_of(const understanding& columns, unsigned group) {
    understanding of_group;
    of_group.decimal_comma = columns.decimal_comma;
    const auto has_own = [&](const column& shared) {
        return std::ranges::any_of(columns.columns, [&](const column& c) {
            return c.group == group && same_meaning(c, shared);
        });
    };
    for (const column& c : columns.columns) {
        if (c.role != column_role::ignored && (c.group == group || (!c.group && !has_own(c)))) {
            of_group.columns.push_back(c);
        }
    }
    return of_group;
}

}  // namespace

std::vector<numbered_name> without_number(std::string_view header) {
    std::vector<numbered_name> names;
    if (header.size() > longest_numbered || std::ranges::none_of(header, is_letter)) {
        return names;
    }
    for (std::size_t end = header.size(); end > 0 && names.size() < most_ways; --end) {
        if (!is_digit(header[end - 1]) || (end < header.size() && is_digit(header[end]))) {
            continue;
        }
        unsigned number = 0;
        unsigned place = 1;
        for (std::size_t at = end; at > 0 && is_digit(header[at - 1]) && end - at < most_digits;) {
            --at;
            number += place * static_cast<unsigned>(header[at] - '0');
            place *= 10;
            names.push_back({std::string(without_group_words(header.substr(0, at))) + ' ' +
                                 std::string(without_ordinal(header.substr(end))),
                             number});
        }
    }
    return names;
}

bool may_repeat(column_role role) {
    return role != column_role::ignored && role != column_role::report &&
           role != column_role::crew && role != column_role::age && role != column_role::age_unit &&
           role != column_role::call_date && role != column_role::sign_name &&
           role != column_role::value && role != column_role::value_unit;
}

std::vector<unsigned> settle_groups(std::span<column* const> columns) {
    return settling(columns).settle();
}

std::vector<understanding> by_group(const understanding& columns) {
    std::vector<understanding> groups;
    for (const unsigned group : columns.groups) {
        groups.push_back(group_of(columns, group));
    }
    return groups;
}

}  // namespace vitalproof::read
