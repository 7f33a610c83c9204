#include "read/decisions_file.hpp"

#include "read/fhir_json.hpp"

#include <fmt/format.h>
#include <simdjson.h>

#include <algorithm>
#include <array>
#include <optional>
#include <utility>

namespace vitalproof::read {

namespace {

constexpr std::array<std::string_view, 4> names{"stands", "asked", "answered", "no_concern"};

std::optional<decided> named(std::string_view name) {
    const auto found = std::ranges::find(names, name);
    return found == names.end() ? std::nullopt
                                : std::optional(static_cast<decided>(found - names.begin()));
}

bool is_fingerprint(std::string_view text) {
    return text.size() == 20 &&
           text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

std::string text_of(const json_object& entry, std::string_view name) {
    return std::string(text_member(entry, name));
}

/// What is wrong with an entry, else it is added.
std::string add_entry(const json_object& entry, decision_list& to) {
    const auto what = named(text_member(entry, "decision"));
    if (!what) {
        return fmt::format("has no \"decision\" that is one of {}", fmt::join(names, ", "));
    }
    decision d{*what, text_of(entry, "fingerprint")};
    if (!is_fingerprint(d.fingerprint)) {
        return "has no \"fingerprint\" of 20 hexadecimal digits";
    }
    d.note = text_of(entry, "note");
    d.decided_at = text_of(entry, "decided_at");
    d.report = text_of(entry, "report");
    d.check = text_of(entry, "check");
    d.when = text_of(entry, "when");
    d.charted = text_of(entry, "charted");
    to.add(std::move(d));
    return "";
}

/// What is wrong with the file as a whole; nothing where it may be read on.
std::string trouble_with(const json_object& file) {
    std::int64_t schema = 0;
    simdjson::dom::array list;
    if (file["schema"].get(schema) != simdjson::SUCCESS || schema < 1) {
        return "it has no \"schema\": 1. Give the file that the page audit.html saved.";
    }
    if (schema > decisions_schema) {
        return fmt::format(
            "its schema is {}, and this version reads {}. Use a newer vitalproof for it.", schema,
            decisions_schema);
    }
    if (file["decisions"].get(list) != simdjson::SUCCESS) {
        return "it has no list of \"decisions\". Give the file that the page audit.html saved.";
    }
    return "";
}

}  // namespace

std::string_view name_of(decided what) { return names[static_cast<std::size_t>(what)]; }

void decision_list::add(decision d) {
    const auto [known, is_new] = by_fingerprint_.try_emplace(d.fingerprint, all_.size());
    if (is_new) {
        all_.push_back(std::move(d));
    } else {
        all_[known->second] = std::move(d);
    }
}

decisions_outcome parse_decisions(std::string_view text, const std::string& file) {
    decisions_outcome outcome;
    const auto refuse = [&](std::string_view why) {
        outcome.errors.push_back(fmt::format("the decisions in {} cannot be used: {}", file, why));
    };
    if (text.size() > most_decisions_bytes) {
        refuse("it is larger than 16 MiB.");
        return outcome;
    }
    simdjson::dom::parser parser;
    json_object whole;
    if (parser.parse(simdjson::padded_string(text)).get(whole) != simdjson::SUCCESS) {
        refuse("it is not a JSON object. Give the file that the page audit.html saved.");
        return outcome;
    }
    if (const std::string trouble = trouble_with(whole); !trouble.empty()) {
        refuse(trouble);
        return outcome;
    }
    std::size_t objects = 0;
    for_each_object(whole, "decisions", [&](const json_object& entry, std::size_t index) {
        ++objects;
        if (const std::string trouble = add_entry(entry, outcome.decisions); !trouble.empty()) {
            refuse(fmt::format("entry {} {}.", index + 1, trouble));
        }
    });
    simdjson::dom::array list;
    if (whole["decisions"].get(list) == simdjson::SUCCESS && list.size() != objects) {
        refuse("an entry of its list is no object.");
    }
    return outcome;
}

}  // namespace vitalproof::read
