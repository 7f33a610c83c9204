#include "read/column_settling.hpp"

#include "read/column_groups.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <utility>

namespace vitalproof::read {

namespace {

std::string quoted_column(const column& c) {
    return std::to_string(c.index + 1) + " \"" + c.header + '"';
}

bool before(const column& one, const column& other) { return one.index < other.index; }

std::string_view words_for(column_role role) {
    switch (role) {
        case column_role::report:
            return "report identifier";
        case column_role::crew:
            return "crew";
        case column_role::date:
            return "date of a set";
        default:
            return "time of a set";
    }
}

// Keeps the best column of a role in each group. For roles without vital signs' weight the first
// will do.
std::optional<file_error> settle_role(std::vector<understood>& columns, column_role role,
                                      bool strict) {
    std::map<std::optional<unsigned>, understood*> best_of_group;
    for (understood& c : columns) {
        if (c.as.role == role) {
            understood*& best = best_of_group[c.as.group];
            best = best == nullptr || c.rank < best->rank ? &c : best;
        }
    }
    for (understood& c : columns) {
        if (c.as.role != role) {
            continue;
        }
        const understood* best = best_of_group[c.as.group];
        if (best == &c) {
            continue;
        }
        if (strict && c.rank == best->rank) {
            return both_could_be(best->as, c.as, words_for(role));
        }
        ignore(c.as, best->as);
    }
    return std::nullopt;
}

// The groups that have a column of some kind.
class groups_with {
public:
    template <class Is>
    groups_with(const std::vector<understood>& columns, Is is) {
        for (const understood& c : columns) {
            if (is(c)) {
                groups_.insert(c.as.group);
            }
        }
    }

    bool has(std::optional<unsigned> group) const { return groups_.contains(group); }

    /// In the group, or where one of the two is shared by all groups.
    bool any_beside(std::optional<unsigned> group) const {
        return has(group) || has(std::nullopt) || (!group && !groups_.empty());
    }

private:
    std::set<std::optional<unsigned>> groups_;
};

// A date column without a time column beside it may hold whole times, and is to be looked at as
// such.
void settle_lone_dates(std::vector<understood>& columns) {
    const groups_with timed(columns,
                            [](const understood& c) { return c.as.role == column_role::time; });
    for (understood& c : columns) {
        if (c.as.role == column_role::date && !timed.any_beside(c.as.group)) {
            c.as.role = column_role::time;
        }
    }
}

void settle_facts(std::vector<understood>& columns) {
    for (auto c = columns.begin(); c != columns.end(); ++c) {
        const auto same = [&c](const understood& earlier) {
            return earlier.as.role == column_role::known_fact && earlier.as.known == c->as.known &&
                   earlier.as.group == c->as.group;
        };
        if (c->as.role != column_role::known_fact) {
            continue;
        }
        if (const auto first = std::find_if(columns.begin(), c, same); first != c) {
            ignore(c->as, first->as);
        }
    }
}

void settle_heart_rates(std::vector<understood>& columns) {
    const groups_with pulses(columns, [](const understood& c) {
        return c.as.role == column_role::sign && c.as.sign == sign_id::pulse && !c.heart_rate;
    });
    for (understood& c : columns) {
        if (!c.heart_rate) {
            continue;
        }
        const bool has_pulse = pulses.has(c.as.group);
        if (has_pulse) {
            c.as.sign = sign_id::ecg_rate;
        }
        add_phrase(c.as.remark, has_pulse ? "beside a pulse column: read as the ECG rate"
                                          : "no pulse column: read as a pulse, by which method is "
                                            "not said");
    }
}

std::string label_of(const column& c) {
    return c.role == column_role::pressures ? "blood pressure"
                                            : std::string(describe(c.sign).label);
}

// The first column of each sign, group by group.
using first_columns = std::map<std::pair<std::optional<unsigned>, sign_id>, const column*>;

first_columns first_of_signs(const std::vector<understood>& columns) {
    first_columns first;
    for (const understood& c : columns) {
        if (c.as.role == column_role::sign) {
            first.try_emplace({c.as.group, c.as.sign}, &c.as);
        }
    }
    return first;
}

// A whole pressure in one cell beside both halves in two says the same twice. Beside one of the
// halves it could be either of two things.
std::optional<file_error> settle_pressures(std::vector<understood>& columns) {
    const first_columns first = first_of_signs(columns);
    for (understood& c : columns) {
        if (c.as.role != column_role::pressures) {
            continue;
        }
        const auto beside = [&](sign_id sign) -> const column* {
            const auto found = first.find({c.as.group, sign});
            return found == first.end() ? nullptr : found->second;
        };
        const column* systolic = beside(sign_id::systolic);
        const column* diastolic = beside(sign_id::diastolic);
        const column* mean = beside(sign_id::mean_pressure);
        if (systolic != nullptr && diastolic != nullptr) {
            c.as.role = column_role::ignored;
            c.as.remark = "not used: columns " + quoted_column(*systolic) + " and " +
                          quoted_column(*diastolic) + " are";
        } else if (systolic != nullptr || diastolic != nullptr) {
            const column& half = systolic != nullptr ? *systolic : *diastolic;
            return both_could_be(std::min(half, c.as, before), std::max(half, c.as, before),
                                 label_of(half));
        } else if (mean != nullptr) {
            c.as.remark =
                "the mean is that of column " + quoted_column(*mean) + " where it has one";
        }
    }
    return std::nullopt;
}

// A sign or fact that a mapping gives to a column is no other column's, within the set that it
// names where it does.
void settle_mapped(std::vector<understood>& columns) {
    for (const understood& said : columns) {
        for (understood& c : columns) {
            const bool same_sign = c.as.role == column_role::sign && c.as.sign == said.as.sign;
            const bool same_fact =
                c.as.role == column_role::known_fact && c.as.known == said.as.known;
            const bool same_set = !said.set_said || c.as.group == said.as.group;
            if (said.as.mapped && !c.as.mapped && c.as.role == said.as.role && same_set &&
                (same_sign || same_fact)) {
                ignore(c.as, said.as);
            }
        }
    }
}

std::optional<file_error> settle_signs(std::vector<understood>& columns) {
    for (auto c = columns.begin(); c != columns.end(); ++c) {
        if (!has_unit(c->as.role)) {
            continue;
        }
        if (c->foreign_unit) {
            return file_error{"column " + quoted_column(c->as) + ": " + c->unit_text +
                                  " is not a unit of " + label_of(c->as),
                              "expected " + units_of(c->as.sign)};
        }
        const auto same = [&c](const understood& earlier) {
            return earlier.as.role == c->as.role && earlier.as.sign == c->as.sign &&
                   earlier.as.group == c->as.group;
        };
        if (const auto first = std::find_if(columns.begin(), c, same); first != c) {
            return both_could_be(first->as, c->as, label_of(c->as));
        }
    }
    return std::nullopt;
}

// Ages whose unit stands in a column of its own are in no unit of their header's.
void settle_ages(std::vector<understood>& columns) {
    const auto unit = std::ranges::find(columns, column_role::age_unit,
                                        [](const understood& c) { return c.as.role; });
    for (understood& c : columns) {
        if (unit != columns.end() && c.as.role == column_role::age) {
            c.as.age_in.reset();
            add_phrase(c.as.remark, "in the unit of column " + quoted_column(unit->as));
        }
    }
}

std::vector<unsigned> settle_groups(std::vector<understood>& columns) {
    std::vector<column*> as;
    as.reserve(columns.size());
    for (understood& c : columns) {
        as.push_back(&c.as);
    }
    return read::settle_groups(as);
}

}  // namespace

settlement settle_columns(std::vector<understood>& columns) {
    settlement outcome;
    outcome.groups = settle_groups(columns);
    settle_heart_rates(columns);
    settle_mapped(columns);
    settle_facts(columns);
    outcome.error = settle_pressures(columns);
    if (!outcome.error) {
        outcome.error = settle_signs(columns);
    }
    for (const column_role role :
         {column_role::report, column_role::time, column_role::date, column_role::crew}) {
        const auto problem = settle_role(columns, role, true);
        outcome.error = outcome.error ? outcome.error : problem;
    }
    settle_lone_dates(columns);
    for (const column_role role :
         {column_role::call_date, column_role::age, column_role::age_unit,
          column_role::pressure_method, column_role::pulse_method, column_role::source,
          column_role::disposition, column_role::device, column_role::incident,
          column_role::complaint}) {
        settle_role(columns, role, false);
    }
    for (std::size_t which = 0; which < call_time_count; ++which) {
        settle_role(columns, role_of(static_cast<call_time>(which)), false);
    }
    settle_ages(columns);
    return outcome;
}

file_error both_could_be(const column& one, const column& other, std::string_view what) {
    return {"columns " + quoted_column(one) + " and " + quoted_column(other) +
                " could both be the " + std::string(what),
            "rename one of the two"};
}

void ignore(column& c, const column& instead) {
    c.role = column_role::ignored;
    c.remark = "not used: column " + quoted_column(instead) + " is";
}

}  // namespace vitalproof::read
