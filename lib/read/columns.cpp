#include "read/columns.hpp"

#include "read/column_groups.hpp"
#include "read/column_mapping.hpp"
#include "read/column_names.hpp"
#include "read/long_form.hpp"
#include "read/text.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <utility>

namespace vitalproof::read {

namespace {

constexpr std::size_t longest_shown = 40;
constexpr std::size_t most_listed = 20;
/// Columns of a header in which numbered groups are looked for: trying every number of a name takes
/// its time, and no report has so many signs.
constexpr std::size_t most_numbered = 2000;

struct understood {
    column as{};
    int rank = 0;
    bool heart_rate = false;
    bool set_said = false;      // a mapping says of which set it is
    bool foreign_unit = false;  // a unit that is not one of the sign's
    std::string unit_text{};
};

// Where a unit may begin inside a header: at every word, `%`, degree sign or slash.
bool may_begin_unit(std::string_view text, std::size_t at) {
    constexpr std::string_view separators = " \t_-()[]{},:;.*#";
    if (separators.find(text[at]) != std::string_view::npos) {
        return true;
    }
    const std::string_view rest = text.substr(at);
    return rest.starts_with('%') || rest.starts_with('/') || rest.starts_with("\xC2\xB0") ||
           rest.starts_with("\xC2\xBA") || rest.starts_with("\xE2\x84");
}

// Whether a unit may stand behind the name of such a column.
bool has_unit(column_role role) {
    return role == column_role::sign || role == column_role::pressures;
}

void set_sign(understood& column, const named_column& name, std::optional<charted_unit> unit) {
    column.as.role = name.role;
    column.as.sign = name.sign;
    column.as.unit = unit.value_or(held_unit(name.sign));
    column.as.unit_stated = unit.has_value();
    column.heart_rate = name.heart_rate;
    column.foreign_unit = unit.has_value() && !is_unit_of(name.sign, *unit);
    if (name.sign == sign_id::ecg_rate) {
        column.as.how = method::by_ecg;
    }
}

// "Temp (deg C)": a name of a sign, then a unit of any sign. Tried before the whole header as a
// name, where "SpO2 (%)" would be one and lose its unit.
bool match_separated_unit(understood& column, std::string_view header) {
    for (std::size_t at = 1; at < header.size(); ++at) {
        if (!may_begin_unit(header, at)) {
            continue;
        }
        const auto name = column_named(header_key(header.substr(0, at)));
        const auto unit = unit_named(header.substr(at));
        if (name && has_unit(name->role) && unit) {
            set_sign(column, *name, unit);
            column.unit_text = printable(trimmed(header.substr(at)), longest_shown);
            return true;
        }
    }
    return false;
}

// "TempF", "glucosemgdl": glued together, accepted only where the unit is one of the sign's. One
// letter is enough for a temperature alone.
bool match_glued_unit(understood& column, std::string_view key) {
    for (std::size_t at = 1; at < key.size(); ++at) {
        const auto name = column_named(key.substr(0, at));
        const auto unit = unit_named(key.substr(at));
        if (name && has_unit(name->role) && unit && is_unit_of(name->sign, *unit) &&
            (key.size() - at > 1 || name->sign == sign_id::temperature)) {
            set_sign(column, *name, unit);
            return true;
        }
    }
    return false;
}

// What a name by itself says of a column; ignored where it is none of ours.
understood understand_name(std::string_view header) {
    understood column;
    if (match_separated_unit(column, header)) {
        return column;
    }
    const std::string key = header_key(header);
    const auto name = column_named(key);
    if (!name) {
        match_glued_unit(column, key);
        return column;
    }
    if (has_unit(name->role)) {
        set_sign(column, *name, std::nullopt);
        return column;
    }
    column.as.role = name->role;
    column.as.known = name->known;
    column.as.age_in = age_unit_named(key).value_or(age_unit::years);
    column.rank = name->rank;
    return column;
}

understood understand_mapped(std::size_t index, std::string_view header,
                             const mapped_column& said) {
    understood column;
    column.as.index = index;
    column.as.header = shown_header(header);
    column.as.role = said.role;
    column.as.known = said.known;
    column.as.age_in = said.age_in;
    column.as.mapped = true;
    column.as.group = said.set;
    column.set_said = said.set.has_value();
    column.rank = -1;  // before every name
    if (has_unit(said.role)) {
        set_sign(column, {.role = said.role, .sign = said.sign}, said.unit);
    }
    return column;
}

// A name with a number in it, such as "Vitals 2 - SBP"; ignored where it is none of ours.
understood understand_numbered(std::string_view header) {
    for (const numbered_name& without : without_number(header)) {
        understood column = understand_name(without.name);
        if (may_repeat(column.as.role)) {
            column.as.group = without.group;
            return column;
        }
    }
    return {};
}

understood understand_column(std::size_t index, std::string_view header, bool may_be_numbered) {
    understood column = understand_name(header);
    if (column.as.role == column_role::ignored && may_be_numbered) {
        column = understand_numbered(header);
    }
    column.as.index = index;
    column.as.header = shown_header(header);
    return column;
}

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

std::vector<unsigned> settle_groups(std::vector<understood>& columns) {
    std::vector<column*> as;
    for (understood& c : columns) {
        as.push_back(&c.as);
    }
    return read::settle_groups(as);
}

void state_report(const column_mapping& mapping, understanding& seen,
                  std::vector<understood>& columns) {
    if (!mapping.report) {
        return;
    }
    seen.report_stated = mapping.report;
    seen.assumptions.push_back("Every row is of the report \"" + shown_header(*mapping.report) +
                               "\", as the mapping says");
    for (understood& c : columns) {
        if (c.as.role == column_role::report) {
            c.as.role = column_role::ignored;
            c.as.remark = "not used: the mapping says which report every row is of";
        }
    }
}

void say_groups(understanding& seen) {
    if (!seen.groups.empty()) {
        seen.assumptions.push_back("Each row holds up to " + std::to_string(seen.groups.size()) +
                                   " sets, by the numbers " + std::to_string(seen.groups.front()) +
                                   " to " + std::to_string(seen.groups.back()) +
                                   " in its columns' names");
    }
}

std::string list_of(const std::vector<column>& columns) {
    std::string list;
    for (std::size_t i = 0; i < std::min(columns.size(), most_listed); ++i) {
        list += (i == 0 ? "\"" : ", \"") + columns[i].header + '"';
    }
    return columns.size() > most_listed ? list + ", ..." : list;
}

// The header as far as it may be shown. Where no cell is a name of ours the line may be a report's
// first row, patient and all, and nothing of it is echoed.
std::string header_in_words(const std::vector<column>& columns) {
    const bool known = std::ranges::any_of(
        columns, [](const column& c) { return c.role != column_role::ignored; });
    return known ? "the header is " + list_of(columns)
                 : "the first line has " + std::to_string(columns.size()) +
                       (columns.size() == 1 ? " cell" : " cells") +
                       " and none is the name of a column: is it the header?";
}

std::optional<file_error> find_missing(const understanding& seen) {
    if (seen.find(column_role::report) == nullptr && !seen.report_stated) {
        return file_error{"no column names the report; " + header_in_words(seen.columns),
                          "name the column with the report identifier \"report\""};
    }
    if (seen.signs_not_carried.size() == sign_count && !seen.long_form()) {
        return file_error{"no column holds a vital sign; " + header_in_words(seen.columns),
                          "name the columns after their signs, such as \"systolic\""};
    }
    return std::nullopt;
}

}  // namespace

const column* understanding::find(column_role role) const {
    const auto found = std::ranges::find(columns, role, &column::role);
    return found == columns.end() ? nullptr : &*found;
}

const column* understanding::find(sign_id sign) const {
    const auto found = std::ranges::find_if(
        columns, [sign](const column& c) { return c.role == column_role::sign && c.sign == sign; });
    return found == columns.end() ? nullptr : &*found;
}

bool understanding::carries(sign_id sign) const {
    const bool of_pressure =
        sign == sign_id::systolic || sign == sign_id::diastolic || sign == sign_id::mean_pressure;
    return find(sign) != nullptr || (of_pressure && find(column_role::pressures) != nullptr);
}

header_outcome understand_header(std::span<const std::string_view> header,
                                 const column_mapping* mapping) {
    header_outcome outcome;
    const mapped_header said =
        mapping == nullptr ? mapped_header{std::vector<const mapped_column*>(header.size()), {}}
                           : find_mapped(*mapping, header);
    if (said.error) {
        outcome.error = said.error;
        return outcome;
    }
    std::vector<understood> columns;
    for (std::size_t i = 0; i < header.size(); ++i) {
        columns.push_back(said.columns[i] == nullptr
                              ? understand_column(i, header[i], header.size() <= most_numbered)
                              : understand_mapped(i, header[i], *said.columns[i]));
    }
    if (mapping != nullptr) {
        outcome.columns.assumptions.push_back("Read with the mapping " + mapping->file);
        state_report(*mapping, outcome.columns, columns);
    }
    outcome.columns.groups = settle_groups(columns);
    say_groups(outcome.columns);
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
    for (const column_role role : {column_role::age, column_role::pressure_method,
                                   column_role::pulse_method, column_role::source}) {
        settle_role(columns, role, false);
    }
    for (understood& c : columns) {
        outcome.columns.columns.push_back(std::move(c.as));
    }
    for (const sign_info& sign : sign_table) {
        if (!outcome.columns.carries(sign.id)) {
            outcome.columns.signs_not_carried.push_back(sign.id);
        }
    }
    if (!outcome.error) {
        outcome.error = understand_long_form(header, outcome.columns);
    }
    if (mapping != nullptr && !mapping->signs.empty() && !outcome.columns.long_form()) {
        outcome.columns.assumptions.emplace_back(
            "[signs] of the mapping is not used: no column names the sign of each row");
    }
    if (!outcome.error) {
        outcome.error = find_missing(outcome.columns);
    }
    return outcome;
}

std::optional<named_sign> sign_called(std::string_view name) {
    const understood column = understand_name(name);
    if (!has_unit(column.as.role)) {
        return std::nullopt;
    }
    return named_sign{column.as.sign,
                      column.as.unit_stated ? std::optional(column.as.unit) : std::nullopt,
                      column.heart_rate, column.as.role == column_role::pressures};
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

std::string_view name_of(age_unit unit) {
    constexpr std::array<std::string_view, age_units.size()> names{"years", "months", "days",
                                                                   "hours", "minutes"};
    return names[static_cast<std::size_t>(unit)];
}

void add_phrase(std::string& text, std::string_view phrase) {
    text += (text.empty() ? "" : "; ") + std::string(phrase);
}

std::string shown_header(std::string_view cell) { return printable(trimmed(cell), longest_shown); }

}  // namespace vitalproof::read
