#include "read/limits_file.hpp"

#include "read/charted_unit.hpp"
#include "read/number.hpp"
#include "read/suggest.hpp"
#include "read/text.hpp"
#include "read/toml_text.hpp"
#include <vitalproof/limit_entries.hpp>

#include <algorithm>

namespace vitalproof::read {

namespace {

/// A sign held in the unit a limit is in: its charted units are those the limit may be written in.
sign_id sign_held_in(std::string_view unit) {
    const auto held = std::ranges::find(sign_table, unit, &sign_info::unit);
    return held == sign_table.end() ? sign_id::systolic : held->id;
}

/// `"300 mmHg"` in the unit the limit is held in.
std::optional<double> value_in(std::string_view text, std::string_view unit) {
    const std::size_t end = text.find_first_not_of("0123456789.+-");
    const auto number = parse_number(text.substr(0, end));
    if (!number || end == std::string_view::npos) {
        return std::nullopt;
    }
    if (unit == vitalproof::symbol_of<units::minute>) {
        return trimmed(text.substr(end)) == unit ? number : std::nullopt;
    }
    const auto written = unit_named(text.substr(end));
    const sign_id like = sign_held_in(unit);
    if (!written || !is_unit_of(like, *written)) {
        return std::nullopt;
    }
    return to_held(like, *written, *number);
}

class applier {
public:
    applier(const std::string& file, sourced_limits& onto)
        : file_(file), onto_(onto), entries_(list_limits(onto.values)) {}

    void apply(const toml::table& root) {
        if (!check_schema(root)) {
            return;
        }
        for (const auto& [key, node] : root) {
            if (key.str() != "schema") {
                apply_family(std::string(key.str()), node);
            }
        }
        check_order();
    }

    std::vector<limits_error> take_errors() { return std::move(errors_); }

private:
    bool check_schema(const toml::table& root) {
        const std::string wrong = wrong_schema(file_, root, limits_schema);
        if (!wrong.empty()) {
            errors_.push_back({wrong});
        }
        return wrong.empty();
    }

    void apply_family(const std::string& family, const toml::node& node) {
        const toml::table* tables = node.as_table();
        if (tables == nullptr) {
            fail(node, "\"" + family + "\" is not a table such as [pressure.narrow].");
            return;
        }
        for (const auto& [key, inner] : *tables) {
            const std::string table = family + "." + std::string(key.str());
            if (const toml::table* figures = inner.as_table()) {
                apply_table(table, *figures);
            } else {
                fail(inner, "\"" + std::string(key.str()) + "\" stands outside a check's table.");
            }
        }
    }

    void apply_table(const std::string& table, const toml::table& figures) {
        if (!find_check(table) && !find_batch_check(table) && !has_table(table)) {
            fail(figures, "there is no table [" + table + "]." + suggestion(table, table_names()));
            return;
        }
        for (const auto& [key, node] : figures) {
            if (key.str() == "on") {
                apply_switch(table, node);
            } else {
                apply_figure(table, std::string(key.str()), node);
            }
        }
    }

    void apply_switch(const std::string& table, const toml::node& node) {
        const auto on = node.value_exact<bool>();
        const auto check = find_check(table);
        const auto of_batch = find_batch_check(table);
        if (!on || (!check && !of_batch)) {
            fail(node, on ? "[" + table + "] is not a check that can be turned off."
                          : std::string("\"on\" is true or false."));
            return;
        }
        if (check) {
            onto_.values.turn(*check, *on);
        } else {
            onto_.values.turn(*of_batch, *on);
        }
        if (*on) {
            onto_.off_by.erase(table);
        } else {
            onto_.off_by[table] = file_;
        }
    }

    void apply_figure(const std::string& table, const std::string& name, const toml::node& node) {
        const auto entry = std::ranges::find_if(
            entries_, [&](const limit_entry& e) { return e.table == table && e.name == name; });
        if (entry == entries_.end()) {
            fail(node,
                 "[" + table + "] has no \"" + name + "\"." + suggestion(name, names_in(table)));
            return;
        }
        const auto text = node.value_exact<std::string_view>();
        const auto value = text ? value_in(*text, entry->unit) : std::nullopt;
        if (!value) {
            fail(node, "[" + table + "] " + name + " needs a number with its unit, such as \"" +
                           std::to_string(static_cast<int>(*entry->value)) + " " +
                           std::string(entry->unit) + "\" (in " +
                           units_of(sign_held_in(entry->unit)) + ").");
            return;
        }
        *entry->value = to_real(*value);
        onto_.set_by[table + "." + name] = file_;
    }

    /// A range whose ends were set the wrong way round would fire on everything.
    void check_order() {
        for (const limit_entry& low : entries_) {
            if (!low.name.starts_with("low")) {
                continue;
            }
            const std::string high_name = "high" + low.name.substr(3);
            for (const limit_entry& high : entries_) {
                if (high.table == low.table && high.name == high_name && *low.value > *high.value) {
                    errors_.push_back({file_ + ": [" + low.table + "] " + low.name + " is above " +
                                       high_name + "."});
                }
            }
        }
    }

    void fail(const toml::node& node, const std::string& text) {
        errors_.push_back({at_line(file_, node.source()) + text});
    }

    bool has_table(std::string_view table) const {
        return std::ranges::any_of(entries_,
                                   [&](const limit_entry& e) { return e.table == table; });
    }

    std::vector<std::string> table_names() const {
        std::vector<std::string> names;
        names.reserve(check_count + std::size(batch_check_table) + entries_.size());
        for (const auto& info : check_table) {
            names.emplace_back(info.code);
        }
        for (const auto& info : batch_check_table) {
            names.emplace_back(info.code);
        }
        for (const auto& entry : entries_) {
            names.push_back(entry.table);
        }
        return names;
    }

    std::vector<std::string> names_in(std::string_view table) const {
        std::vector<std::string> names{"on"};
        for (const auto& entry : entries_) {
            if (entry.table == table) {
                names.push_back(entry.name);
            }
        }
        return names;
    }

    const std::string& file_;
    sourced_limits& onto_;
    std::vector<limit_entry> entries_;
    std::vector<limits_error> errors_;
};

}  // namespace

std::vector<limits_error> apply_limits(std::string_view text, const std::string& file,
                                       sourced_limits& onto) {
    try {
        const toml::table root = toml::parse(text, file);
        sourced_limits changed = onto;
        applier with(file, changed);
        with.apply(root);
        auto errors = with.take_errors();
        if (errors.empty()) {
            onto = std::move(changed);
        }
        return errors;
    } catch (const toml::parse_error& e) {
        return {{not_toml(file, e)}};
    }
}

std::optional<limits_error> turn_off(std::string_view name, const std::string& by,
                                     sourced_limits& in) {
    bool any = false;
    bool kept = false;
    std::vector<std::string> known;
    const auto turn_off_named = [&](const auto& info, auto check) {
        const std::string_view family = info.code.substr(0, info.code.find('.'));
        known.emplace_back(info.code);
        known.emplace_back(family);
        known.emplace_back(name_of(info.kind));
        if (is_never_left_out(info.code)) {
            kept = kept || name == info.code || name == family;
        } else if (name == info.code || name == family || name == name_of(info.kind)) {
            in.values.turn(check, false);
            in.off_by[std::string(info.code)] = by;
            any = true;
        }
    };
    for (std::size_t i = 0; i < check_count; ++i) {
        turn_off_named(check_table[i], i);
    }
    for (std::size_t i = 0; i < batch_check_count; ++i) {
        turn_off_named(batch_check_table[i], static_cast<batch_check>(i));
    }
    if (kept) {
        return limits_error{"\"" + std::string(name) +
                            "\" is asked whatever is left out; a limits file can turn it off "
                            "(on = false)."};
    }
    if (any) {
        return std::nullopt;
    }
    return limits_error{"there is no check, family or kind \"" + std::string(name) + "\"." +
                        suggestion(name, known)};
}

}  // namespace vitalproof::read
