#include "read/long_form.hpp"

#include "read/column_names.hpp"
#include "read/column_settling.hpp"

#include <algorithm>
#include <array>

namespace vitalproof::read {

namespace {

struct part_name {
    std::string_view name;
    column_role role;
    int rank;  // of several columns the lowest is taken
};

// Names too common to mean these things in a file with a column a sign.
constexpr std::array part_names = std::to_array<part_name>({
    {"sign", column_role::sign_name, 0},
    {"vital", column_role::sign_name, 0},
    {"vitals", column_role::sign_name, 0},
    {"vitalsign", column_role::sign_name, 0},
    {"vitalsigns", column_role::sign_name, 0},
    {"vitalname", column_role::sign_name, 0},
    {"vitalsignname", column_role::sign_name, 0},
    {"vitaltype", column_role::sign_name, 0},
    {"vitalsigntype", column_role::sign_name, 0},
    {"signname", column_role::sign_name, 0},
    {"parameter", column_role::sign_name, 0},
    {"parametername", column_role::sign_name, 0},
    {"measure", column_role::sign_name, 0},
    {"measurename", column_role::sign_name, 0},
    {"measurement", column_role::sign_name, 0},
    {"measurementname", column_role::sign_name, 0},
    {"measurementtype", column_role::sign_name, 0},
    {"observation", column_role::sign_name, 1},
    {"observationname", column_role::sign_name, 1},
    {"test", column_role::sign_name, 1},
    {"testname", column_role::sign_name, 1},
    {"item", column_role::sign_name, 1},
    {"itemname", column_role::sign_name, 1},
    {"variable", column_role::sign_name, 1},
    {"label", column_role::sign_name, 2},
    {"type", column_role::sign_name, 2},
    {"loinc", column_role::sign_name, 3},
    {"loinccode", column_role::sign_name, 3},
    {"code", column_role::sign_name, 4},
    {"testcode", column_role::sign_name, 4},
    {"name", column_role::sign_name, 5},  // may as well be the patient's
    {"value", column_role::value, 0},
    {"vitalvalue", column_role::value, 0},
    {"signvalue", column_role::value, 0},
    {"measuredvalue", column_role::value, 0},
    {"measurementvalue", column_role::value, 0},
    {"observationvalue", column_role::value, 0},
    {"parametervalue", column_role::value, 0},
    {"resultvalue", column_role::value, 0},
    {"testresult", column_role::value, 1},
    {"result", column_role::value, 1},
    {"reading", column_role::value, 1},
    {"valuenum", column_role::value, 2},
    {"numericvalue", column_role::value, 2},
    {"valueunit", column_role::value_unit, 0},
    {"valueunits", column_role::value_unit, 0},
    {"valueuom", column_role::value_unit, 0},
    {"resultunit", column_role::value_unit, 0},
    {"resultunits", column_role::value_unit, 0},
    {"measurementunit", column_role::value_unit, 0},
    {"unitofmeasure", column_role::value_unit, 0},
    {"unitofmeasurement", column_role::value_unit, 0},
    {"unitsofmeasure", column_role::value_unit, 0},
    {"uom", column_role::value_unit, 1},
    {"units", column_role::value_unit, 1},
    {"unit", column_role::value_unit, 2},
});

constexpr std::string_view crew_or_measure = "unit";

std::string_view words_for(column_role role) {
    switch (role) {
        case column_role::sign_name:
            return "name of the sign";
        case column_role::value:
            return "value";
        default:
            return "unit of the value";
    }
}

// The columns that may have a role, and the best of them.
struct candidates {
    column* best = nullptr;
    std::vector<column*> others{};
    std::optional<file_error> tie{};
};

int rank_of(std::string_view key, column_role role) {
    const auto* const known = std::ranges::find_if(
        part_names, [&](const part_name& p) { return p.name == key && p.role == role; });
    if (known != part_names.end()) {
        return known->rank;
    }
    constexpr int behind_all = 9;
    const bool ends_as_unit =
        key.ends_with("unit") || key.ends_with("units") || key.ends_with("uom");
    return role == column_role::value_unit && ends_as_unit ? behind_all : -1;
}

candidates find_candidates(std::span<const std::string_view> header, understanding& seen,
                           column_role role) {
    candidates found;
    int lowest = 0;
    for (column& c : seen.columns) {
        const std::string key = header_key(header[c.index]);
        const int rank = rank_of(key, role);
        const bool free = c.role == column_role::ignored ||
                          (c.role == column_role::crew && key == crew_or_measure);
        if (c.mapped && c.role == role) {
            return {&c, {}, {}};
        }
        if (rank < 0 || !free || c.mapped) {
            continue;
        }
        if (found.best != nullptr && rank == lowest) {
            found.tie = both_could_be(*found.best, c, words_for(role));
        }
        if (found.best == nullptr || rank < lowest) {
            if (found.best != nullptr) {
                found.others.push_back(found.best);
            }
            found.best = &c;
            found.tie.reset();
            lowest = rank;
        } else {
            found.others.push_back(&c);
        }
    }
    return found;
}

void take(const candidates& found, column_role role) {
    found.best->role = role;
    found.best->remark.clear();
    for (column* other : found.others) {
        ignore(*other, *found.best);
    }
}

// "Unit" was the best name for a crew until it turned out to be a unit of measure.
void find_crew_again(std::span<const std::string_view> header, understanding& seen) {
    column* best = nullptr;
    int lowest = 0;
    for (column& c : seen.columns) {
        const auto name = column_named(header_key(header[c.index]));
        if (name && name->role == column_role::crew && !c.mapped &&
            c.role != column_role::value_unit && (best == nullptr || name->rank < lowest)) {
            best = &c;
            lowest = name->rank;
        }
    }
    if (best != nullptr && seen.find(column_role::crew) == nullptr) {
        best->role = column_role::crew;
        best->remark.clear();
    }
}

// Columns with names of signs, in a file that a mapping says has one reading a row.
void leave_out_signs(understanding& seen) {
    for (column& c : seen.columns) {
        if (c.role == column_role::sign && !c.mapped) {
            c.role = column_role::ignored;
            c.remark = "not used: the mapping says that one row is one reading";
        }
    }
    seen.signs_not_carried.clear();
    for (const sign_info& sign : sign_table) {
        if (seen.find(sign.id) == nullptr) {
            seen.signs_not_carried.push_back(sign.id);
        }
    }
}

file_error half_a_long_form(bool has_value) {
    return {has_value ? "a column holds the values of signs, and none names the sign"
                      : "a column names the sign in each row, and none holds its value",
            has_value ? "say which in the mapping: { is = \"sign_name\" }"
                      : "say which in the mapping: { is = \"value\" }"};
}

}  // namespace

std::optional<file_error> understand_long_form(std::span<const std::string_view> header,
                                               understanding& seen) {
    const bool mapped = std::ranges::any_of(seen.columns, [](const column& c) {
        return c.mapped && (c.role == column_role::sign_name || c.role == column_role::value);
    });
    if (mapped) {
        leave_out_signs(seen);
    }
    if (seen.signs_not_carried.size() != sign_count) {
        return mapped ? std::optional(file_error{
                            "the mapping gives a sign a column of its own, and says that one row "
                            "is one reading",
                            "leave one of the two out of the mapping"})
                      : std::nullopt;
    }
    const candidates name = find_candidates(header, seen, column_role::sign_name);
    const candidates value = find_candidates(header, seen, column_role::value);
    if (name.best == nullptr || value.best == nullptr) {
        return mapped ? std::optional(half_a_long_form(value.best != nullptr)) : std::nullopt;
    }
    const candidates unit = find_candidates(header, seen, column_role::value_unit);
    for (const candidates* found : {&name, &value, &unit}) {
        if (found->tie) {
            return found->tie;
        }
    }
    take(name, column_role::sign_name);
    take(value, column_role::value);
    if (unit.best != nullptr) {
        take(unit, column_role::value_unit);
        find_crew_again(header, seen);
    }
    seen.assumptions.emplace_back(
        "One row is one reading; rows of one report and time that follow each other are one set");
    return std::nullopt;
}

void settle_unit_column(understanding& seen, bool holds_units) {
    const auto unit = std::ranges::find(seen.columns, column_role::value_unit, &column::role);
    if (holds_units || unit == seen.columns.end() || unit->mapped ||
        header_key(unit->header) != crew_or_measure) {
        return;
    }
    const column* crew = seen.find(column_role::crew);
    if (crew != nullptr) {
        ignore(*unit, *crew);
    } else {
        unit->role = column_role::crew;
        unit->remark = "no row has a unit of measure in it: read as the crew";
    }
}

}  // namespace vitalproof::read
