#include "audit/column_findings.hpp"

#include <algorithm>
#include <atomic>
#include <string_view>

namespace vitalproof::audit {

namespace {

/// Of the families that ask about the unit or size of one value, or tell how dangerous it is: in
/// another unit it is another value.
constexpr auto about_one_value = [] {
    std::array<bool, check_count> about{};
    for (std::size_t i = 0; i < check_count; ++i) {
        const std::string_view code = check_table[i].code;
        about[i] = code.starts_with("unit.") || code.starts_with("unlikely.") ||
                   code.starts_with("impossible.") || code.starts_with("clinical.");
    }
    return about;
}();

/// The reading a finding points at, where it is a number that carries no unit of its own.
const evidence_reading* number_of(const finding& f) {
    for (const evidence_reading& r : f.evidence.readings()) {
        if (r.sign == f.info().sign) {
            return r.state == reading_state::number ? &r : nullptr;
        }
    }
    return nullptr;
}

}  // namespace

column_findings::column_findings(const std::string& file, const read::understanding& columns,
                                 const limits& in_force, std::deque<batch_entry>& entries) {
    const bool on = in_force.is_on(batch_check::unit_column);
    for (const read::column& c : columns.columns) {
        if (read::has_unit(c.role)) {
            add(c, on && c.doubt ? entry_for(file, c, entries) : nullptr);
        }
    }
    for (const read::sign_in_assumed_unit& s : columns.assumed_units) {
        add({.sign = s.sign, .unit = s.unit}, nullptr);
    }
}

void column_findings::add(const read::column& c, batch_entry* whole) {
    const auto add_sign = [&](sign_id sign) {
        if (const auto other = read::other_unit_of(sign, c.unit)) {
            rules_[index_of(sign)].push_back({c.unit, c.unit_stated, *other, whole});
        }
    };
    add_sign(c.sign);
    if (c.role == read::column_role::pressures) {
        add_sign(sign_id::diastolic);
    }
}

/// Columns of several sets a row that state the same unit of a sign share one.
batch_entry* column_findings::entry_for(const std::string& file, const read::column& c,
                                        std::deque<batch_entry>& entries) {
    const std::string_view stated = read::symbol_of(c.unit);
    for (batch_entry* earlier : found_) {
        batch_finding& about = earlier->about;
        if (c.group && about.sign == c.sign && about.stated == stated) {
            about.column += ", " + c.header;
            return earlier;
        }
    }
    entries.push_back({{.file = file,
                        .column = c.header,
                        .sign = c.sign,
                        .stated = stated,
                        .fits = read::symbol_of(c.doubt->fits),
                        .counts = c.doubt->counts},
                       0});
    found_.push_back(&entries.back());
    return found_.back();
}

/// The rule by which a finding is to be marked; a column that explains it before one that does not
/// state its unit.
const column_findings::rule* column_findings::rule_for(const finding& f) const {
    const auto& rules = rules_[index_of(f.info().sign)];
    if (!about_one_value[f.check] || rules.empty()) {
        return nullptr;
    }
    const evidence_reading* r = number_of(f);
    const rule* chosen = nullptr;
    for (const rule& one : rules) {
        const bool tells = one.whole != nullptr || (!one.unit_stated && r != nullptr &&
                                                    one.unit == read::held_unit(r->sign));
        if (r != nullptr && tells && (chosen == nullptr || one.whole != nullptr) &&
            one.other.fits(r->sign, one.unit, to_real(r->value))) {
            chosen = &one;
        }
    }
    return chosen;
}

bool column_findings::concern(std::span<const finding> of_set) const {
    return std::ranges::any_of(of_set, [this](const finding& f) { return rule_for(f) != nullptr; });
}

void column_findings::mark(std::span<finding> of_set) const {
    for (finding& f : of_set) {
        const rule* by = rule_for(f);
        if (by == nullptr) {
            continue;
        }
        f.unit_stated = by->unit_stated;
        if (by->whole != nullptr) {
            f.part_of = &by->whole->about;
            // Threads mark sets of one column at once.
            std::atomic_ref(by->whole->parts).fetch_add(1, std::memory_order_relaxed);
        }
    }
}

}  // namespace vitalproof::audit
