#include "write/first_questions.hpp"

#include <algorithm>

namespace vitalproof::write {

namespace {

bool is_question(const finding& f) {
    return f.info().asks != asks::notice && f.info().kind != kind::clinical && f.part_of == nullptr;
}

/// Whether `a` should be looked at before `b`; equals keep the order in which they were found.
bool before(const finding& a, const finding& b) {
    return gravity_of(a.info()) < gravity_of(b.info());
}

}  // namespace

void first_questions::add(std::span<const finding> of_set) {
    for (const finding& f : of_set) {
        if (too_light_->is_too_light(gravity_of(f.info())) || !is_question(f)) {
            continue;
        }
        const auto same_reading = [&](const finding& other) {
            return is_question(other) && subject_of(other.info()) == subject_of(f.info());
        };
        const bool leads = std::ranges::none_of(of_set, [&](const finding& other) {
            // Of equals the later in the catalogue speaks: it is the more specific.
            return same_reading(other) && (before(other, f) || (&other > &f && !before(f, other)));
        });
        if (leads) {
            const auto same = std::ranges::count_if(of_set, same_reading);
            add_one(f, static_cast<std::size_t>(same) - 1);
        }
    }
}

void first_questions::add(const first_questions& of_part) {
    for (const question& q : of_part.kept_) {
        add_one(q.about, q.others);
    }
}

void first_questions::add_one(const finding& f, std::size_t others) {
    const auto place = std::ranges::upper_bound(kept_, f, before, &question::about);
    if (place == kept_.end() && kept_.size() == most) {
        return;
    }
    kept_.insert(place, {f, others});
    if (kept_.size() > most) {
        kept_.pop_back();
    }
    if (kept_.size() == most) {
        own_bound_.fall_to(gravity_of(kept_.back().about.info()));
    }
}

}  // namespace vitalproof::write
