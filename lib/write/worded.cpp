#include "write/worded.hpp"

namespace vitalproof::write {

void worded::start_set(const finding& any) {
    taken_at_.clear();
    message::append_time(taken_at_, any.taken_at);
    set_name_.clear();
    message::append_set_name(set_name_, any.set, taken_at_);
}

void worded::take(const finding& f) {
    tell(charted_, [&](std::string& to) { words_.append_charted(to, f); });
    tell(expected_, [&](std::string& to) { words_.append_expected(to, f); });
    tell(question_,
         [&](std::string& to) { words_.append_question(to.append(set_name_).append(": "), f); });
    tell(perhaps_, [&](std::string& to) {
        message::append_explanations(
            to, f.perhaps,
            [place = explained_.begin()](const auto& words) mutable { *place++ = words; });
    });
    fingerprint_ = prints_.print(f);
}

}  // namespace vitalproof::write
