#include "write/account.hpp"

#include "read/mapping_file.hpp"
#include "write/limits_toml.hpp"
#include "write/names.hpp"
#include <vitalproof/config.hpp>
#include <vitalproof/fingerprint.hpp>
#include <vitalproof/limit_entries.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <xxhash.h>

#include <algorithm>

namespace vitalproof::write {

namespace {

using json = nlohmann::ordered_json;

json asked_as_json(const audit::asked& a) {
    return {{"reject", a.reject}, {"query", a.query}, {"notice", a.notice}};
}

/// Calls `take(info, count)` for every check that fired.
template <class Take>
void for_each_fired(const audit::tally& counts, Take take) {
    const auto pass_on = [&take](const auto& infos, const auto& fired) {
        for (std::size_t i = 0; i < fired.size(); ++i) {
            if (fired[i] != 0) {
                take(infos[i], fired[i]);
            }
        }
    };
    pass_on(check_table, counts.by_check);
    pass_on(batch_check_table, counts.by_batch_check);
}

json checks_as_json(const audit::tally& counts) {
    json checks = json::object();
    for_each_fired(counts, [&](const auto& info, std::uint64_t count) {
        checks[std::string(info.code)] = count;
    });
    return checks;
}

/// Why each is asked: once here, and not in every line of findings.jsonl.
json reasons_as_json(const audit::tally& counts) {
    json reasons = json::object();
    for_each_fired(counts, [&](const auto& info, std::uint64_t /*count*/) {
        reasons[std::string(info.code)] = info.why;
    });
    return reasons;
}

json as_json(const batch_finding& f) {
    json one = {{"check", f.info().code}};
    const auto add = [&](const char* name, std::string_view value) {
        if (!value.empty()) {
            one[name] = value;
        }
    };
    add("file", f.file);
    add("report", f.report);
    add("column", f.column);
    if (f.info().about.empty()) {
        add("sign", describe(f.sign).name);
        add("stated", f.stated);
        add("fits", f.fits);
    }
    add("device", f.device);
    add("other_report", f.other_report);
    for (const batch_number& n : numbers_of(f)) {
        one[std::string(n.name)] = n.value;
    }
    return one;
}

json batch_as_json(const audit::account& account) {
    json batch = json::array();
    for (const auto& [f, parts] : account.batch) {
        json one = as_json(f);
        if (f.check == batch_check::unit_column) {
            one["parts"] = parts;
        }
        one["fingerprint"] = fingerprint(f);
        batch.push_back(std::move(one));
    }
    return batch;
}

json signs_as_json(const audit::tally& counts) {
    json signs = json::object();
    for (std::size_t i = 0; i < sign_count; ++i) {
        json sign = {{"readings", counts.readings_by_sign[i]}};
        sign.update(asked_as_json(counts.by_sign[i]));
        signs[std::string(sign_table[i].name)] = sign;
    }
    return signs;
}

json names_as_json(const audit::tally::by_name& counts) {
    json names = json::object();
    for (const auto& [name, of_name] : counts) {
        names[name] = {{"sets", of_name.sets},
                       {"sets_rejected", of_name.sets_rejected},
                       {"sets_queried", of_name.sets_queried}};
    }
    return names;
}

json kinds_as_json(const audit::tally& counts) {
    json kinds = json::object();
    for (std::size_t i = 0; i < counts.by_kind.size(); ++i) {
        kinds[std::string(name_of(static_cast<kind>(i)))] = asked_as_json(counts.by_kind[i]);
    }
    return kinds;
}

json limits_as_json(const read::sourced_limits& in_force) {
    limits copy = in_force.values;
    json tables = json::object();
    for (const limit_entry& entry : list_limits(copy)) {
        const auto set = in_force.set_by.find(entry.table + "." + entry.name);
        tables[entry.table][entry.name] = {
            {"value", figure(*entry.value, entry.unit)},
            {"from", set == in_force.set_by.end() ? "default" : set->second}};
    }
    json off = json::array();
    for (std::size_t i = 0; i < check_count; ++i) {
        if (!in_force.values.is_on(i)) {
            off.push_back(check_table[i].code);
        }
    }
    for (std::size_t i = 0; i < batch_check_count; ++i) {
        if (!in_force.values.is_on(static_cast<batch_check>(i))) {
            off.push_back(batch_check_table[i].code);
        }
    }
    return {{"tables", tables}, {"off", off}};
}

// What was stated of the times; without it the files' own dates decide.
json times_as_json(const read::delimited_options& reading) {
    json stated = json::object();
    if (reading.dates != read::day_order::undecided) {
        stated["dates"] = reading.dates == read::day_order::day_first ? "day-first" : "month-first";
    }
    if (reading.zone) {
        stated["time_zone"] = reading.zone->name();
    }
    return stated;
}

void add_unit(json& entry, std::optional<read::charted_unit> unit) {
    if (unit) {
        entry["unit"] = read::symbol_of(*unit);
    }
}

json as_json(const read::mapped_column& column) {
    json entry;
    switch (column.role) {
        case read::column_role::sign:
            entry["sign"] = describe(column.sign).name;
            add_unit(entry, column.unit);
            break;
        case read::column_role::known_fact:
            entry["is"] = fact_names[static_cast<std::size_t>(column.known)];
            break;
        case read::column_role::age:
            entry["is"] = read::mapping_word(column.role);
            entry["unit"] = read::name_of(column.age_in);
            break;
        default:
            entry["is"] = read::mapping_word(column.role);
            add_unit(entry, column.unit);
    }
    if (column.set) {
        entry["set"] = *column.set;
    }
    return entry;
}

json as_json(const read::mapped_sign& named) {
    json entry;
    if (named.pressures) {
        entry["is"] = read::mapping_word(read::column_role::pressures);
    } else if (named.sign) {
        entry["sign"] = describe(*named.sign).name;
    } else {
        entry["is"] = read::mapping_word(read::column_role::ignored);
    }
    add_unit(entry, named.unit);
    return entry;
}

// The tables and keys of a mapping's file, so that one can be written from it.
json mapping_as_json(const read::column_mapping& mapping) {
    json said = {{"schema", read::mapping_schema}};
    if (mapping.report) {
        said["report"]["value"] = *mapping.report;
    }
    for (const read::mapped_column& column : mapping.columns) {
        said["columns"][column.header] = as_json(column);
    }
    for (const read::mapped_sign& named : mapping.signs) {
        said["signs"][named.name] = as_json(named);
    }
    return said;
}

json inputs_as_json(const audit::account& account) {
    json inputs = json::array();
    for (const auto& file : account.files) {
        const auto& read = file.outcome;
        json input = {{"file", file.name},
                      {"bytes", read.bytes},
                      {"xxh3_128", read.digest},
                      {"rows_read", read.rows_read},
                      {"rows_examined", read.rows_examined},
                      {"rows_unread", read.rows_unread},
                      {"rows_other", read.rows_other}};
        for (const auto& [code, count] : read.unknown_codes) {
            input["codes_not_read"][code] = count;
        }
        if (read.error) {
            input["error"] = read.error->what;
        }
        inputs.push_back(input);
    }
    return inputs;
}

}  // namespace

std::string catalogue_hash() {
    std::string text;
    const auto add = [&text](const auto& info) {
        for (const auto part : {info.code, info.title, name_of(info.asks), name_of(info.kind),
                                info.question, info.expected}) {
            text.append(part).push_back('\n');
        }
    };
    std::ranges::for_each(check_table, add);
    std::ranges::for_each(batch_check_table, add);
    limits defaults;
    for (const auto& entry : list_limits(defaults)) {
        text += entry.table + "." + entry.name + "=" + figure(*entry.value, entry.unit) + "\n";
    }
    const XXH128_hash_t hash = XXH3_128bits(text.data(), text.size());
    return fmt::format("{:016x}{:016x}", hash.high64, hash.low64);
}

void write_account(const output_folder& folder, const audit::account& account,
                   const read::sourced_limits& in_force, const read::delimited_options& reading,
                   const std::string& as_of) {
    const audit::tally& counts = account.counts;
    json document = {
        {"schema", output_schema},
        {"version", version},
        {"as_of", as_of},
        {"rows_read", account.rows_read},
        {"rows_examined", account.rows_examined},
        {"rows_unread", account.rows_unread},
        {"rows_other", account.rows_other},
        {"reports", counts.reports},
        {"sets", counts.sets},
        {"reports_too_long", counts.reports_too_long},
        {"readings", counts.readings},
        {"sets_rejected", counts.sets_rejected},
        {"sets_queried", counts.sets_queried},
        {"sets_part_of_batch", counts.sets_part_of_batch},
        {"findings", asked_as_json(counts.all)},
        {"findings_part_of_batch", asked_as_json(counts.part_of_batch)},
        {"batch_findings", batch_as_json(account)},
        {"by_check", checks_as_json(counts)},
        {"why", reasons_as_json(counts)},
        {"by_sign", signs_as_json(counts)},
        {"by_crew", names_as_json(counts.by_crew)},
        {"by_kind", kinds_as_json(counts)},
        {"limits", limits_as_json(in_force)},
        {"times", times_as_json(reading)},
        {"strict_xml", reading.strict_xml},
        {"catalogue", catalogue_hash()},
        {"inputs", inputs_as_json(account)},
        {"interrupted", account.interrupted},
        {"caution",
         "A review aid, not a medical device, not for bedside decisions. Thresholds are defaults "
         "for the agency's medical direction to set; local protocols and licensed practice "
         "prevail. Nothing here changes a chart."},
    };
    if (reading.mapping) {
        document["mapping"] = mapping_as_json(*reading.mapping);
    }
    if (!counts.by_device.empty()) {
        document["by_device"] = names_as_json(counts.by_device);
    }
    output_file file(folder.file(account_name));
    file.append(document.dump(2, ' ', true, json::error_handler_t::replace));
    file.append("\n");
    file.close();
}

}  // namespace vitalproof::write
