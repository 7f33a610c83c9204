#include "read/mapping_file.hpp"

#include "read/column_groups.hpp"
#include "read/column_names.hpp"
#include "read/suggest.hpp"
#include "read/text.hpp"
#include "read/toml_text.hpp"

#include <algorithm>
#include <array>
#include <cstdint>

namespace vitalproof::read {

namespace {

struct role_word {
    std::string_view word;
    column_role role;
};

constexpr std::array role_words = std::to_array<role_word>({
    {"ignored", column_role::ignored},
    {"report", column_role::report},
    {"crew", column_role::crew},
    {"time", column_role::time},
    {"date", column_role::date},
    {"call_date", column_role::call_date},
    {"age", column_role::age},
    {"age_unit", column_role::age_unit},
    {"pressures", column_role::pressures},
    {"pressure_method", column_role::pressure_method},
    {"pulse_method", column_role::pulse_method},
    {"rhythm", column_role::rhythm},
    {"breathing_effort", column_role::breathing_effort},
    {"source", column_role::source},
    {"disposition", column_role::disposition},
    {"device", column_role::device},
    {"incident", column_role::incident},
    {"complaint", column_role::complaint},
    {"unit_notified", column_role::unit_notified},
    {"en_route", column_role::en_route},
    {"on_scene", column_role::on_scene},
    {"at_patient", column_role::at_patient},
    {"left_scene", column_role::left_scene},
    {"at_destination", column_role::at_destination},
    {"transfer_of_care", column_role::transfer_of_care},
    {"back_in_service", column_role::back_in_service},
    {"sign_name", column_role::sign_name},
    {"value", column_role::value},
    {"value_unit", column_role::value_unit},
});

constexpr std::int64_t most_sets = 99;  // two digits, as in a column's name

constexpr std::array all_units = std::to_array<charted_unit>(
    {charted_unit::mmhg, charted_unit::kilopascal, charted_unit::per_minute, charted_unit::percent,
     charted_unit::fraction, charted_unit::mg_per_dl, charted_unit::mmol_per_l,
     charted_unit::celsius, charted_unit::fahrenheit, charted_unit::points});

std::string quoted(std::string_view text) { return '"' + std::string(text) + '"'; }

std::vector<std::string> sign_names() {
    std::vector<std::string> names;
    names.reserve(sign_table.size());
    for (const sign_info& sign : sign_table) {
        names.emplace_back(sign.name);
    }
    return names;
}

std::vector<std::string> words_for_is() {
    std::vector<std::string> words;
    words.reserve(role_words.size() + stated_facts.size());
    for (const role_word& known : role_words) {
        words.emplace_back(known.word);
    }
    for (const fact known : stated_facts) {
        words.emplace_back(fact_names[static_cast<std::size_t>(known)]);
    }
    return words;
}

std::vector<std::string> unit_symbols(sign_id sign) {
    std::vector<std::string> symbols;
    for (const charted_unit unit : all_units) {
        if (is_unit_of(sign, unit)) {
            symbols.emplace_back(symbol_of(unit));
        }
    }
    return symbols;
}

std::vector<std::string> age_unit_names() {
    std::vector<std::string> names;
    names.reserve(age_units.size());
    for (const age_unit unit : age_units) {
        names.emplace_back(name_of(unit));
    }
    return names;
}

bool same_meaning(const mapped_column& a, const mapped_column& b) {
    return a.role == b.role && a.role != column_role::ignored &&
           (a.role != column_role::sign || a.sign == b.sign) &&
           (a.role != column_role::known_fact || a.known == b.known) && a.set == b.set;
}

class mapping_reader {
public:
    explicit mapping_reader(const std::string& file) { outcome_.mapping.file = file; }

    mapping_outcome read(const toml::table& root) {
        const std::string& file = outcome_.mapping.file;
        if (const std::string wrong = wrong_schema(file, root, mapping_schema); !wrong.empty()) {
            outcome_.errors.push_back(wrong);
            return std::move(outcome_);
        }
        for (const auto& [key, node] : root) {
            read_table(key.str(), node);
        }
        if (const auto* column = find_report_column();
            column != nullptr && outcome_.mapping.report) {
            fail(*root.get("report"), "the report is stated, and " + quoted(column->header) +
                                          " is said to hold it. Take one of the two out.");
        }
        return std::move(outcome_);
    }

private:
    void read_table(std::string_view name, const toml::node& node) {
        if (name == "schema") {
            return;
        }
        if (name == "report") {
            read_report(node);
            return;
        }
        const toml::table* entries = node.as_table();
        if (entries == nullptr || (name != "columns" && name != "signs")) {
            const std::array<std::string, 3> tables{"columns", "signs", "report"};
            fail(node, quoted(name) + " stands outside [columns] and [signs]." +
                           suggestion(name, tables));
            return;
        }
        for (const auto& [key, entry] : *entries) {
            if (name == "columns") {
                read_column(key.str(), entry);
            } else {
                read_sign(key.str(), entry);
            }
        }
    }

    // One report's file, such as a monitor's record, need not name it in every row.
    void read_report(const toml::node& node) {
        const toml::table* entry = node.as_table();
        const bool has_value = entry != nullptr && entry->size() == 1 && entry->contains("value");
        const auto value =
            has_value ? entry->get("value")->value_exact<std::string_view>() : std::nullopt;
        const auto is_control = [](char c) { return (c >= 0 && c < ' ') || c == '\x7F'; };
        if (!value || trimmed(*value).empty() || std::ranges::any_of(*value, is_control)) {
            fail(node, "the report of every row is written as report = { value = \"26-0113\" }.");
            return;
        }
        outcome_.mapping.report = trimmed(*value);
    }

    const mapped_column* find_report_column() const {
        const auto& columns = outcome_.mapping.columns;
        const auto found = std::ranges::find(columns, column_role::report, &mapped_column::role);
        return found == columns.end() ? nullptr : &*found;
    }

    void read_column(std::string_view header, const toml::node& node) {
        mapped_column column;
        column.header = trimmed(header);
        const toml::table* entry = entry_of(header, node, {"sign", "unit", "is", "set"});
        if (entry == nullptr || !read_meaning(column, header, *entry) ||
            !read_set(column, header, *entry)) {
            return;
        }
        const auto& earlier = outcome_.mapping.columns;
        const auto same = std::ranges::find_if(
            earlier, [&](const mapped_column& c) { return same_meaning(c, column); });
        if (same != earlier.end()) {
            fail(node, quoted(same->header) + " and " + quoted(header) +
                           " are said to be the same. Make one of them { is = \"ignored\" }.");
            return;
        }
        outcome_.mapping.columns.push_back(std::move(column));
    }

    void read_sign(std::string_view name, const toml::node& node) {
        mapped_column like;
        const toml::table* entry = entry_of(name, node, {"sign", "unit", "is"});
        if (entry == nullptr || !read_meaning(like, name, *entry)) {
            return;
        }
        const bool pressures = like.role == column_role::pressures;
        if (like.role != column_role::sign && like.role != column_role::ignored && !pressures) {
            fail(node,
                 quoted(name) +
                     " in [signs] is a sign, { is = \"pressures\" } or { is = \"ignored\" }.");
            return;
        }
        const bool ignored = like.role == column_role::ignored;
        outcome_.mapping.signs.push_back({std::string(trimmed(name)),
                                          ignored ? std::nullopt : std::optional(like.sign),
                                          like.unit, pressures});
    }

    // The inner table of an entry, with keys that are known.
    const toml::table* entry_of(std::string_view name, const toml::node& node,
                                const std::vector<std::string>& keys) {
        const toml::table* entry = node.as_table();
        if (entry == nullptr || entry->contains("sign") == entry->contains("is")) {
            fail(node, quoted(name) + " needs either { sign = \"saturation\", unit = \"%\" } or " +
                           "{ is = \"report\" }.");
            return nullptr;
        }
        for (const auto& [key, inner] : *entry) {
            if (std::ranges::find(keys, key.str()) == keys.end()) {
                fail(inner, quoted(name) + " has no " + quoted(key.str()) + "." +
                                suggestion(key.str(), keys));
                return nullptr;
            }
            if (key.str() != "set" && !inner.is_string()) {
                fail(inner, quoted(key.str()) + " of " + quoted(name) + " is a text in quotes.");
                return nullptr;
            }
        }
        return entry;
    }

    bool read_meaning(mapped_column& column, std::string_view header, const toml::table& entry) {
        const toml::node* unit = entry.get("unit");
        if (const toml::node* sign = entry.get("sign")) {
            return name_sign(column, *sign) && (unit == nullptr || name_unit(column, *unit));
        }
        if (!name_role(column, *entry.get("is"))) {
            return false;
        }
        if (column.role == column_role::age) {
            return unit == nullptr || name_age_unit(column, *unit);
        }
        if (column.role == column_role::pressures) {
            column.sign = sign_id::systolic;
            return unit == nullptr || name_unit(column, *unit);
        }
        if (unit != nullptr) {
            fail(*unit, quoted(header) + " is neither a sign nor an age, and has no unit.");
            return false;
        }
        return true;
    }

    // The number of a set, of the columns that a row may have several of.
    bool read_set(mapped_column& column, std::string_view header, const toml::table& entry) {
        const toml::node* set = entry.get("set");
        if (set == nullptr) {
            return true;
        }
        if (!may_repeat(column.role)) {
            fail(*set, quoted(header) +
                           " is not of one set: only signs, their times, methods and "
                           "facts are.");
            return false;
        }
        const auto number = set->value_exact<std::int64_t>();
        if (!number || *number < 0 || *number > most_sets) {
            fail(*set, "\"set\" of " + quoted(header) + " is a whole number from 0 to " +
                           std::to_string(most_sets) + '.');
            return false;
        }
        column.set = static_cast<unsigned>(*number);
        return true;
    }

    bool name_sign(mapped_column& column, const toml::node& node) {
        const std::string word = *node.value<std::string>();
        const auto known = std::ranges::find(sign_table, word, &sign_info::name);
        if (known == sign_table.end()) {
            fail(node, "there is no sign " + quoted(word) + "." + suggestion(word, sign_names()));
            return false;
        }
        column.role = column_role::sign;
        column.sign = known->id;
        return true;
    }

    bool name_unit(mapped_column& column, const toml::node& node) {
        const std::string word = *node.value<std::string>();
        column.unit = unit_named(word);
        if (!column.unit || !is_unit_of(column.sign, *column.unit)) {
            fail(node, quoted(word) + " is not a unit of " +
                           std::string(describe(column.sign).label) + ", which is in " +
                           units_of(column.sign) + "." +
                           suggestion(word, unit_symbols(column.sign)));
            return false;
        }
        return true;
    }

    bool name_role(mapped_column& column, const toml::node& node) {
        const std::string word = *node.value<std::string>();
        const auto* const role = std::ranges::find(role_words, word, &role_word::word);
        if (role != role_words.end()) {
            column.role = role->role;
            return true;
        }
        const std::optional<fact> known = stated_fact(word);
        if (!known) {
            const bool is_sign =
                std::ranges::find(sign_table, word, &sign_info::name) != sign_table.end();
            fail(node, "a column cannot be " + quoted(word) + "." +
                           (is_sign ? " Write { sign = " + quoted(word) + " }."
                                    : suggestion(word, words_for_is())));
            return false;
        }
        column.role = column_role::known_fact;
        column.known = *known;
        return true;
    }

    bool name_age_unit(mapped_column& column, const toml::node& node) {
        const std::string word = *node.value<std::string>();
        for (const age_unit unit : age_units) {
            if (name_of(unit) == word) {
                column.age_in = unit;
                return true;
            }
        }
        fail(node, quoted(word) +
                       " is not a unit of an age: years, months, weeks, days, hours, minutes." +
                       suggestion(word, age_unit_names()));
        return false;
    }

    void fail(const toml::node& node, const std::string& text) {
        outcome_.errors.push_back(at_line(outcome_.mapping.file, node.source()) + text);
    }

    mapping_outcome outcome_{};
};

}  // namespace

mapping_outcome parse_mapping(std::string_view text, const std::string& file) {
    try {
        return mapping_reader(file).read(toml::parse(text, file));
    } catch (const toml::parse_error& e) {
        return {{}, {not_toml(file, e)}};
    }
}

std::string_view mapping_word(column_role role) {
    const auto* const known = std::ranges::find(role_words, role, &role_word::role);
    return known == role_words.end() ? std::string_view() : known->word;
}

}  // namespace vitalproof::read
