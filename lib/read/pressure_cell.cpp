#include "read/pressure_cell.hpp"

#include "read/remark.hpp"
#include "read/text.hpp"

#include <optional>
#include <utility>

namespace vitalproof::read {

namespace {

struct parts {
    std::string_view systolic{};
    std::string_view diastolic{};
    std::string_view mean{};
    std::string_view behind{};  // the mean's brackets: a unit, or a remark
};

// At the first `mark`, which belongs to neither side.
std::optional<std::pair<std::string_view, std::string_view>> cut_at(std::string_view text,
                                                                    char mark) {
    const std::size_t at = text.find(mark);
    if (at == std::string_view::npos) {
        return std::nullopt;
    }
    return std::pair{trimmed(text.substr(0, at)), trimmed(text.substr(at + 1))};
}

// What stands behind a number, if it begins with one.
std::string_view behind_number(std::string_view part) {
    const std::size_t end = part.find_first_not_of("0123456789.,+- ");
    return end == 0 || end == std::string_view::npos ? std::string_view{} : part.substr(end);
}

// None where there are no two halves.
std::optional<parts> split(std::string_view text) {
    const auto halves = cut_at(text, '/');
    if (!halves) {
        return std::nullopt;
    }
    const auto& [systolic, rest] = *halves;
    const auto open = cut_at(rest, '(');
    if (const auto close = open ? cut_at(open->second, ')') : std::nullopt) {
        return parts{systolic, open->first, close->first, close->second};
    }
    if (const auto mean = cut_at(rest, '/')) {
        return parts{systolic, mean->first, mean->second};
    }
    return parts{systolic, rest};
}

// The unit behind one part, which is that of all; the column's where there is none.
std::optional<charted_unit> written_unit(const parts& of) {
    for (const std::string_view text :
         {of.behind, behind_number(of.mean), behind_number(of.diastolic)}) {
        if (const auto unit = unit_named(text)) {
            return unit;
        }
    }
    return std::nullopt;
}

cell_value unreadable(std::string_view text) {
    cell_value cell;
    cell.state = reading_state::unreadable;
    cell.charted = charted_text(text);
    return cell;
}

cell_value read_part(std::string_view text, sign_id sign, cell_rules rules) {
    rules.sign = sign;
    return read_cell(text, rules);
}

pressure_cell unreadable_halves(std::string_view text) {
    return {unreadable(text), unreadable(text), {}};
}

}  // namespace

pressure_cell read_pressure_cell(std::string_view text, const cell_rules& rules) {
    text = trimmed_wide(text);
    cell_rules here = rules;
    here.sign = sign_id::mean_pressure;
    // First, as "N/A" has a slash and no halves.
    if (const cell_value whole = read_cell(text, here); whole.state == reading_state::absent) {
        return {whole, whole, {}};
    }
    const auto found = split(text);
    if (!found) {
        if (const cell_value felt = read_part(text, sign_id::systolic, rules); felt.palpated) {
            return {felt, read_part("P", sign_id::diastolic, rules), {}};
        }
        return unreadable_halves(text);
    }
    if (const auto unit = written_unit(*found)) {
        if (!is_unit_of(sign_id::systolic, *unit) || (rules.unit_stated && *unit != rules.unit)) {
            return unreadable_halves(text);
        }
        here.unit = *unit;
    }
    pressure_cell cell{read_part(found->systolic, sign_id::systolic, here),
                       read_part(found->diastolic, sign_id::diastolic, here),
                       read_part(found->mean, sign_id::mean_pressure, here)};
    if (!unit_named(found->behind) && !read_remark(sign_id::mean_pressure, found->behind)) {
        cell.mean = unreadable(text);
    }
    return cell;
}

void put_pressure(vital_set& set, const pressure_cell& cell, method how) {
    put_cell(set, sign::systolic{}, cell.systolic, how);
    put_cell(set, sign::diastolic{}, cell.diastolic, how);
    if (cell.mean.state != reading_state::absent) {
        put_cell(set, sign::mean_pressure{}, cell.mean, how);
    }
}

void note_palpated(vital_set& set) {
    set.systolic.set_method(method::palpated);
    set.diastolic.set_method(method::palpated);
}

}  // namespace vitalproof::read
