#include "write/page.hpp"

#include "page/page_parts.hpp"
#include "write/json.hpp"
#include "write/names.hpp"
#include "write/special_bytes.hpp"
#include <vitalproof/config.hpp>
#include <vitalproof/message.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <xxhash.h>

#include <algorithm>
#include <map>
#include <string_view>
#include <utility>
#include <vector>

namespace vitalproof::write {

namespace {

using json = nlohmann::ordered_json;

constexpr int no_crew = -1;

/// Crews as the page calls them, and their places in its list.
class crew_names {
public:
    crew_names(const audit::tally::by_name& crews, bool shown) {
        std::vector<std::pair<std::uint64_t, std::string>> ordered;
        for (const auto& [name, counts] : crews) {
            if (!name.empty() && name != audit::tally::other_crews) {
                // By a hash: numbers in the order of names would tell which is which.
                ordered.emplace_back(shown ? ordered.size() : XXH3_64bits(name.data(), name.size()),
                                     name);
            }
        }
        std::ranges::sort(ordered);
        for (const auto& [rank, name] : ordered) {
            add(name, shown ? name : fmt::format("Crew {}", places_.size() + 1), crews.at(name));
        }
        if (const auto others = crews.find(audit::tally::other_crews); others != crews.end()) {
            add(others->first, "Other crews", others->second);
        }
    }

    int place(const std::string& crew) const {
        if (crew.empty()) {
            return no_crew;
        }
        const auto known = places_.find(crew);
        if (known != places_.end()) {
            return known->second;
        }
        const auto others = places_.find(audit::tally::other_crews);
        return others == places_.end() ? no_crew : others->second;
    }

    const json& list() const { return list_; }

private:
    void add(const std::string& name, const std::string& shown, const audit::set_counts& counts) {
        places_.emplace(name, static_cast<int>(places_.size()));
        list_.push_back({{"name", shown},
                         {"sets", counts.sets},
                         {"rejected", counts.sets_rejected},
                         {"queried", counts.sets_queried}});
    }

    std::map<std::string, int> places_{};
    json list_ = json::array();
};

json checks_as_json(const audit::tally& counts, const message_writer& words) {
    json list = json::array();
    for (std::size_t i = 0; i < check_count; ++i) {
        const check_info& info = check_table[i];
        finding of_check;
        of_check.check = i;
        const int sign = info.about.empty() ? static_cast<int>(index_of(info.sign)) : -1;
        list.push_back({{"code", info.code},
                        {"title", words.title(of_check)},
                        {"asks", name_of(info.asks)},
                        {"priority", static_cast<int>(info.priority)},
                        {"kind", name_of(info.kind)},
                        {"sign", sign},
                        {"why", info.why},
                        {"source", info.source},
                        {"count", counts.by_check[i]}});
    }
    return list;
}

json signs_as_json(const audit::tally& counts, const limits& in_force) {
    json list = json::array();
    for (std::size_t i = 0; i < sign_count; ++i) {
        const bounds& usual = in_force.signs.usual[i];
        list.push_back(
            {{"name", sign_table[i].name},
             {"label", sign_table[i].label},
             {"unit", sign_table[i].unit},
             {"usual", {static_cast<double>(usual.low), static_cast<double>(usual.high)}},
             {"readings", counts.readings_by_sign[i]},
             {"reject", counts.by_sign[i].reject},
             {"query", counts.by_sign[i].query},
             {"notice", counts.by_sign[i].notice}});
    }
    return list;
}

json batch_as_json(const audit::account& account) {
    json list = json::array();
    for (const auto& [f, parts] : account.batch) {
        list.push_back({{"asks", name_of(f.info().asks)},
                        {"title", f.info().title},
                        {"heading", f.info().heading},
                        {"place", message::place(f)},
                        {"question", message::question(f)},
                        {"why", f.info().why},
                        {"parts", parts}});
    }
    return list;
}

json decisions_as_json(const read::decision_list& decisions) {
    json list = json::array();
    for (const read::decision& d : decisions.all()) {
        list.push_back({{"fingerprint", d.fingerprint},
                        {"decision", read::name_of(d.what)},
                        {"note", d.note},
                        {"decided_at", d.decided_at},
                        {"report", d.report},
                        {"check", d.check},
                        {"when", d.when},
                        {"charted", d.charted}});
    }
    return list;
}

json counts_as_json(const audit::account& account) {
    const audit::tally& counts = account.counts;
    return {
        {"rows_read", account.rows_read},      {"rows_examined", account.rows_examined},
        {"rows_unread", account.rows_unread},  {"rows_other", account.rows_other},
        {"reports", counts.reports},           {"sets", counts.sets},
        {"readings", counts.readings},         {"sets_rejected", counts.sets_rejected},
        {"sets_queried", counts.sets_queried}, {"sets_part_of_batch", counts.sets_part_of_batch},
        {"reject", counts.all.reject},         {"query", counts.all.query},
        {"notice", counts.all.notice}};
}

json files_as_json(const audit::account& account) {
    json list = json::array();
    for (const auto& file : account.files) {
        list.push_back(file.name);
    }
    return list;
}

/// Writes JSON so that nothing in it can end the element it stands in.
class safe_text {
public:
    explicit safe_text(output_file& to) : to_(to) {}

    void add(std::string_view text) {
        constexpr auto may_act = [](auto c) { return (c == '<') | (c == '>') | (c == '&'); };
        if (!has_special(text, may_act)) [[likely]] {
            to_.append(text);
            return;
        }
        for (;;) {
            const std::size_t plain = first_special(text, may_act);
            to_.append(text.substr(0, plain));
            if (plain == text.size()) {
                return;
            }
            const char c = text[plain];
            to_.append(c == '<' ? "\\u003c" : c == '>' ? "\\u003e" : "\\u0026");
            text.remove_prefix(plain + 1);
        }
    }

private:
    output_file& to_;
};

void add_reports(safe_text& out, page_data& data, const crew_names& crews) {
    std::string text;
    std::string_view opening = "{";
    for (const auto& report : data.reports()) {
        text.clear();
        data.append_to(text, report.all());
        if (data.failed()) {
            return;
        }
        const std::string_view all = text;
        out.add(opening);
        out.add(all.substr(0, report.head_size));
        out.add(fmt::format(",\"crew\":{},\"sets\":[", crews.place(text.substr(report.shown()))));
        out.add(all.substr(report.head_size, report.sets_size));
        out.add("]}");
        opening = ",\n{";
    }
}

void add_findings(safe_text& out, page_data& data, const audit::account& account) {
    std::map<const batch_finding*, std::size_t> wholes;
    for (const auto& entry : account.batch) {
        wholes.emplace(&entry.about, wholes.size());
    }
    std::string text;
    std::string_view opening = "[";
    for (const auto& f : data.findings()) {
        const auto whole = wholes.find(f.part_of);
        text.assign(opening);
        text += fmt::format("{},{},", f.report,
                            whole == wholes.end() ? "-1" : std::to_string(whole->second));
        data.append_to(text, f.text());
        out.add(text);
        opening = ",\n[";
    }
}

}  // namespace

bool has_page() { return !page::built_page().empty(); }

void write_page(const output_folder& folder, const audit::account& account, page_data& data,
                const page_options& options) {
    data.finish();
    const message_writer words(options.in_force);
    const crew_names crews(account.counts.by_crew, options.show_crews);
    json head = {{"schema", output_schema},
                 {"version", version},
                 {"as_of", options.as_of},
                 {"interrupted", account.interrupted},
                 {"files", files_as_json(account)},
                 {"counts", counts_as_json(account)},
                 {"checks", checks_as_json(account.counts, words)},
                 {"signs", signs_as_json(account.counts, options.in_force)},
                 {"crews", crews.list()},
                 {"crews_named", options.show_crews},
                 {"batch", batch_as_json(account)},
                 {"left_out", data.left_out()},
                 {"decisions", decisions_as_json(options.decisions)}};
    std::string opening = head.dump(-1, ' ', true, json::error_handler_t::replace);
    opening.pop_back();

    output_file file(folder.file(page_name));
    safe_text out(file);
    const page::page_parts parts = page::built_page();
    for (const std::string_view piece : parts.before) {
        file.append(piece);
    }
    out.add(opening);
    out.add(",\"reports\":[");
    add_reports(out, data, crews);
    out.add("],\"findings\":[");
    add_findings(out, data, account);
    out.add("]}");
    for (const std::string_view piece : parts.after) {
        file.append(piece);
    }
    if (data.failed()) {
        throw output_error(
            "audit.html could not be written: the folder for temporary files took no more. Free "
            "some space there, or name another in TMPDIR, and run the audit again; nothing was "
            "left half-written.");
    }
    file.close();
}

}  // namespace vitalproof::write
