#include "write/worded.hpp"

namespace vitalproof::write {

void worded::start_set(const finding& any) {
    taken_at_.clear();
    message::append_time(taken_at_, any.taken_at);
    set_name_.clear();
    message::append_set_name(set_name_, any.set, taken_at_);
}

void worded::take(const finding& f) {
    charted_.clear();
    words_.append_charted(charted_, f);
    expected_.clear();
    words_.append_expected(expected_, f);
    question_.assign(set_name_).append(": ");
    words_.append_question(question_, f);
    perhaps_.clear();
    message::append_explanations(
        perhaps_, f.perhaps,
        [to = explained_.begin()](const auto& words) mutable { *to++ = words; });
    fingerprint_ = prints_.print(f);
}

}  // namespace vitalproof::write
